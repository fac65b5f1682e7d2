"""Installed file formats."""

from __future__ import annotations

import math
from typing import Any

from flask import Blueprint

from adapters import registry
from adapters.contract import Setting
from service.answers.choices import FormatList
from service.http.endpoint import Answer, op

blueprint = Blueprint("formats", __name__, url_prefix="/v1/formats")


@blueprint.get("")
@op(id="listFormats", tag="formats", answers={200: Answer("The formats", FormatList)})
def list_formats() -> dict[str, Any]:
    """List the file formats and the parts of a cut plan that each supports."""
    found = [registry.get(name) for name in sorted(registry.names())]
    return {
        "formats": [
            {
                "name": each.name,
                "title": each.title,
                "media_type": each.media_type,
                "extension": each.extension,
                "supports": sorted(each.supports),
                "settings": [_setting(setting) for setting in each.settings],
            }
            for each in found
        ],
        "faults": [{"name": name, "detail": detail} for name, detail in registry.faults().items()],
    }


def _setting(setting: Setting) -> dict[str, Any]:
    row: dict[str, Any] = {
        "name": setting.name,
        "type": setting.type,
        "description": setting.description,
        "required": setting.required,
        "choices": list(setting.choices),
    }
    if setting.default is not None:
        row["default"] = setting.default
    # JSON has no infinity: a bound that is none is left out.
    bounds = {"minimum": setting.minimum, "maximum": setting.maximum}
    return row | {name: value for name, value in bounds.items() if math.isfinite(value)}

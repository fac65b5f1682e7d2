"""Installed file formats."""

from __future__ import annotations

from typing import Any

from flask import Blueprint

from adapters import registry
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
                "media_type": each.media_type,
                "extension": each.extension,
                "supports": sorted(each.supports),
                "settings": [
                    {
                        "name": setting.name,
                        "type": setting.type,
                        "description": setting.description,
                        "required": setting.required,
                        "choices": list(setting.choices),
                    }
                    for setting in each.settings
                ],
            }
            for each in found
        ],
        "faults": [{"name": name, "detail": detail} for name, detail in registry.faults().items()],
    }

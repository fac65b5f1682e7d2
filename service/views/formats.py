"""Installed file formats."""

from __future__ import annotations

import math

from flask import Blueprint

from adapters import registry
from adapters.contract import Setting
from service.answers.choices import (
    FormatAnswer,
    FormatFault,
    FormatList,
    NeededSettingAnswer,
    SettingAnswer,
)
from service.http.endpoint import Answer, op

blueprint = Blueprint("formats", __name__, url_prefix="/v1/formats")


@blueprint.get("")
@op(id="listFormats", tag="formats", answers={200: Answer("The formats", FormatList)})
def list_formats() -> FormatList:
    """List the file formats and the parts of a cut plan that each supports."""
    found = [registry.get(name) for name in sorted(registry.names())]
    return FormatList(
        formats=[
            FormatAnswer(
                name=each.name,
                title=each.title,
                media_type=each.media_type,
                extension=each.extension,
                supports=sorted(each.supports),
                settings=[_setting(setting) for setting in each.settings],
            )
            for each in found
        ],
        faults=[
            FormatFault(name=name, detail=detail) for name, detail in registry.faults().items()
        ],
    )


def _setting(setting: Setting) -> SettingAnswer:
    # JSON has no infinity: a bound that is none is left out.
    low, high, needed = setting.minimum, setting.maximum, setting.only_with
    return SettingAnswer(
        name=setting.name,
        title=setting.heading,
        type=setting.type,
        description=setting.description,
        required=setting.required,
        choices=list(setting.choices),
        default=setting.default,
        minimum=low if math.isfinite(low) else None,
        maximum=high if math.isfinite(high) else None,
        only_with=None
        if needed is None
        else NeededSettingAnswer(setting=needed[0], value=needed[1]),
    )

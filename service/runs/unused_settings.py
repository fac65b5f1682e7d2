"""A cutter's settings of formats that nobody can write here."""

from __future__ import annotations

from adapters import registry
from geometry.model.cutter import Cutter
from service.runs.notices import for_office
from service.schemas.suggestions import close_match
from service.texts import gettext as _


def unused_settings(cutter: Cutter) -> list[str]:
    """Say that a cutter states settings of a format that is not installed, as a misspelt name is.

    They are kept: the plug-in that they are for may come back.
    """
    installed = registry.installed_names()
    return [
        for_office(
            _(
                'The cutter\'s settings of format "{name}" are not used: no such format is '
                "installed.{hint}",
                name=name,
                hint=close_match(name, installed),
            )
        )
        for name in cutter.formats
        if not registry.installed(name)
    ]

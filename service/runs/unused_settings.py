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
    # Plug-ins are only looked for where a format is not ours: what a fork server has looked up
    # once, its children do not look up again.
    return [
        for_office(
            _(
                'The cutter\'s settings of format "{name}" are not used: no such format is '
                "installed.{hint}",
                name=name,
                hint=close_match(name, registry.installed_names()),
            )
        )
        for name in cutter.formats
        if name not in registry.BUILT_IN and not registry.installed(name)
    ]

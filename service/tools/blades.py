"""Cautions for every blade that a machine moves.

Source:
    University of Southern California EHS, "Cutting safety"; tool-box talks on knives. Stopping
    before reaching in: common practice.
"""

from __future__ import annotations

from typing import Final

from service.texts import gettext_noop as _

CAUTIONS: Final = (
    (
        _(
            "Keep fingers, hair and sleeves away from the moving head. Let it stand still"
            " before you turn the blade at a stop; switch the machine off before you"
            " clear a jam or change the blade."
        )
    ),
    _("Change blades with pliers, never by fingers; keep used blades in a closed, marked tin."),
    _("No pins in work that goes under a blade: count them in and count them out."),
)

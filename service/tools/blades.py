"""Cautions for every blade that a machine moves.

Source:
    University of Southern California EHS, "Cutting safety"; tool-box talks on knives. Stopping
    before reaching in, and what is done on a machine that is paused: common practice.
"""

from __future__ import annotations

from typing import Final

from service.texts import gettext_noop as _

CAUTIONS: Final = (
    (
        _(
            "Keep fingers, hair and sleeves away from the moving head; at a stop or pause touch "
            "pen or blade only as the machine's manual says, the head raised and still. To clear "
            "a jam or replace a worn blade, switch the machine off."
        )
    ),
    _("Change blades with pliers, never by fingers; keep used blades in a closed, marked tin."),
    _("No pins in work that goes under a blade: count them in and count them out."),
)

"""Which kinds of material are cloth, and what draws on it."""

from __future__ import annotations

from typing import Final

from service.texts import gettext_noop as _

#: Kinds of material that have a right and a wrong side, and a grain.
CLOTH: Final = frozenset({"fabric", "stiffened_fabric"})
#: That a pen's lines may not stay is common practice, no source.
CLOTH_PEN: Final = _(
    "Draw with a pen for cloth whose lines wash out or fade, and try it on a scrap first."
)

"""Patches that this process drew and measured last."""

from __future__ import annotations

from collections.abc import Callable, Hashable

from geometry.model.outline import Outline
from service.pieces.model import Allowance
from service.requests.edges import CornerChoice, SeamAllowance
from service.texts import chosen_catalogue
from service.tools.recent_answers import RecentAnswers

#: A patch, its measured allowance, and warnings.
MeasuredPatch = tuple[Outline, Allowance, tuple[str, ...]]
#: Patches that are kept, and the most vertices of one of them: about 0.5 kB each.
_MAX_PATCHES, _MAX_VERTICES = 256, 200
_PATCHES: RecentAnswers[MeasuredPatch] = RecentAnswers(_MAX_PATCHES)


def known_or_drawn(
    template: Outline,
    allowance: SeamAllowance,
    corners: CornerChoice,
    draw: Callable[[], MeasuredPatch],
) -> MeasuredPatch:
    """Return a template's patch: the one that is known, or else one that is drawn and measured."""
    if len(template.vertices) > _MAX_VERTICES:
        return draw()
    question: Hashable = (
        template,
        allowance.default,
        tuple(allowance.edges.items()),
        corners.usual,
        tuple(corners.overrides.items()),
        # A patch's warnings are in a language.
        chosen_catalogue(),
    )
    return _PATCHES.known_or_made(question, draw)

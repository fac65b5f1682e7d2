"""Pictures of tool paths that this process drew last: a preview's are its kit's too."""

from __future__ import annotations

import pickle
from dataclasses import dataclass, replace

from geometry.toolpath.plan import Planned
from service.documents.pictures.toolpath import path_picture
from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.planned_run import PlannedLoad
from service.texts import chosen_catalogue
from service.tools.known_plans import is_kept
from service.tools.recent_answers import RecentAnswers

_MAX_PICTURES = 64
#: A load of more kinds takes long to compare.
_MAX_KINDS = 20
_PICTURES: RecentAnswers[bytes] = RecentAnswers(_MAX_PICTURES)


@dataclass(frozen=True, eq=False)
class _This:
    """One plan, the same only as itself: plans that are known are the same object."""

    planned: Planned

    def __eq__(self, other: object) -> bool:
        """Return whether the other is about the same object."""
        return isinstance(other, _This) and self.planned is other.planned

    def __hash__(self) -> int:
        """Return a hash of the object itself."""
        return id(self.planned)


def path_picture_bytes(kit: Kit, run: Run, load: PlannedLoad) -> bytes:
    """Return the SVG picture of a load's tool path: one that is known, or else one that is drawn.

    It is drawn from what it is known by, and from nothing else.
    """
    kinds = load.load.outlines
    if len(kinds) > _MAX_KINDS or not is_kept(load.planned):
        return path_picture(kit, run, load).encode()
    pieces = {name: replace(kit.pieces[name], request=None, warnings=()) for name in kinds}
    drawn = Kit(kit.title, kit.units, pieces, (), ticket=kit.ticket, language=kit.language)
    numbers = {piece: number for number, piece in enumerate(kinds)}
    # Placements are stated as plain numbers, because they take several times as long to pickle.
    places = [
        (numbers[each.piece], move.turn_deg, move.x, move.y, move.mirrored)
        for each in load.load.placements
        for move in (each.move,)
    ]
    # Only written, never read: equal bytes are equal values.
    what = (drawn, run, load.number, load.load.repeats, places)
    stated = pickle.dumps(what, pickle.HIGHEST_PROTOCOL)
    question = stated, _This(load.planned), chosen_catalogue()
    return _PICTURES.known_or_made(
        question, lambda: path_picture(drawn, run, replace(load, on=None)).encode()
    )

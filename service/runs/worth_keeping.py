"""Which rests of a sheet are worth keeping: those into which a piece of the kit fits."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from geometry.layout.item import stated_turns_deg
from geometry.model.outline import Chain, Outline
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid
from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.past_the_bed import on_the_bed
from service.runs.planned_run import PlannedLoad
from service.tools import kind_of

#: Turns that are tried of a piece that may lie at any, degrees.
_TURNS_DEG = tuple(15.0 * step for step in range(12))
_ROUNDING = 1e-6


def rests_of(kit: Kit, run: Run, load: PlannedLoad) -> Iterator[tuple[Bounds, bool]]:
    """Yield what is left of a load's sheet, and whether a piece of the kit fits into it."""
    # On a die only cloth of a stated size is known to lie where there are no rules.
    is_unknown = kind_of(run.cutter.tool).is_pressed and run.sheet is None
    for each in load.offcuts:
        box = Bounds(each.x, each.y, each.x + each.width, each.y + each.height)
        if is_unknown:
            box = _on_rules(load, box)
        fits = _fits_a_piece(kit, run.cut, box.width, box.height, roll=run.from_roll)
        if fits or not is_unknown:
            yield box, fits


def kept_rests(kit: Kit, run: Run, load: PlannedLoad) -> list[tuple[Bounds, Bounds]]:
    """Return the rests of a load's sheet that hold a piece of the kit, as pictures show them.

    Each is the rest and its part on the bed; what lies past the bed altogether is left out.
    """
    kept = (box for box, fits in rests_of(kit, run, load) if fits)
    parts = ((box, on_the_bed(box, run.cutter.bed)) for box in kept)
    return [(box, part) for box, part in parts if min(part.width, part.height) > 0.0]


def _on_rules(load: PlannedLoad, box: Bounds) -> Bounds:
    """Return what of a die's free place surely has cloth on it; the rest may be bare board."""
    rules = [Chain(stroke.vertices).bounds for stroke in load.planned.plan.strokes]
    left, bottom = min(each.left for each in rules), min(each.bottom for each in rules)
    right, top = max(each.right for each in rules), max(each.top for each in rules)
    left, bottom = max(box.left, left), max(box.bottom, bottom)
    return Bounds(left, bottom, max(left, min(box.right, right)), max(bottom, min(box.top, top)))


def _fits_a_piece(kit: Kit, cut: str, width: float, height: float, *, roll: bool) -> bool:
    """Return whether a template, or a patch, of the kit fits into a rectangle, mm, as it may turn.

    Up a piece runs along a ``roll``, from left to right.
    """
    if roll:
        width, height = height, width
    return any(
        wide <= width + _ROUNDING and high <= height + _ROUNDING for wide, high in _boxes(kit, cut)
    )


def _boxes(kit: Kit, cut: str) -> Iterator[tuple[float, float]]:
    """Yield the boxes of all pieces that are cut so, at their turns, mm."""
    names = (name for run in kit.runs if run.cut == cut for name in run.portions)
    for name in dict.fromkeys(names):
        piece = kit.pieces[name]
        stated = stated_turns_deg(piece.turns)
        turns = _TURNS_DEG if stated is None else tuple(stated)
        yield from _turned(piece.region(cut).outline, turns)


@lru_cache(maxsize=256)
def _turned(outline: Outline, turns_deg: tuple[float, ...]) -> tuple[tuple[float, float], ...]:
    boxes = (Rigid(turn, 0.0, 0.0).outline(outline).bounds for turn in turns_deg)
    return tuple((box.width, box.height) for box in boxes)

"""What is drawn on a stack: a pen, a beam or a creasing blade reaches only its top layer.

Common practice, no source. Of layers face to face an even number ends right side down: what is
drawn lies on the wrong side of the mirror image.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Final

from geometry.model.outline import LABEL
from service.errors import Change
from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.notices import Notice, curable
from service.runs.planned_run import PlannedRun
from service.runs.side_up import bears_marks
from service.texts import gettext as _
from service.texts import gettext_noop as _later
from service.texts import ngettext
from service.tools.cloth import CLOTH

_NAMES: Final = {
    "seam-line": _later("seam line"),
    "match-mark": _later("match marks"),
    "grain-arrow": _later("grain arrow"),
    LABEL: _later("label"),
}


def stack_mark_warnings(kit: Kit, planned: PlannedRun) -> Iterator[Notice]:
    """Yield how many pieces of a run's stacks have nothing drawn on them."""
    run = planned.run
    if run.layers == 1 or not bears_marks(kit, run):
        return
    placed: Counter[str] = Counter()
    for load in planned.loads:
        for piece, count in load.load.outlines.items():
            if kit.pieces[piece].region(run.cut).marks:
                placed[piece] += count * load.load.repeats
    plies = planned.plies
    made = sum(count * sum(plies[piece].gives.values()) for piece, count in placed.items())
    bare = made - sum(
        count
        for piece, count in placed.items()
        if not (_ends_face_down(run) and plies[piece].mirrored)
    )
    if not bare:
        return
    text = ngettext(
        "{top}: {n} of {made} pieces comes out without its {marks}. Cut in single layers, or mark "
        "the others by hand with a template.",
        "{top}: {n} of {made} pieces come out without their {marks}. Cut in single layers, or mark "
        "the others by hand with a template.",
        bare,
        top=_top(run),
        made=made,
        marks=_marks(kit, run, placed),
    )
    if swapped := ", ".join(_labelled_as_partners(kit, planned, placed)):
        text += " " + _(
            "On the top layer the labels of {pieces} stand on their mirror images.", pieces=swapped
        )
    changes = [Change("/layers", 1)]
    if run.is_face_to_face:
        changes.append(Change("/stack", "face_up"))
    yield curable(text, "Cut one layer at a time", *changes)


def _ends_face_down(run: Run) -> bool:
    """Return whether the top layer of a stack lies right side down."""
    return run.is_face_to_face and run.layers % 2 == 0


def _top(run: Run) -> str:
    if _ends_face_down(run) and run.material.kind in CLOTH:
        return _("Only the top layer of a stack is marked, on its wrong side")
    return _("Only the top layer of a stack is marked")


def _marks(kit: Kit, run: Run, pieces: Counter[str]) -> str:
    """Return what is drawn on the pieces, in words."""
    roles = {mark.role for piece in pieces for mark in kit.pieces[piece].region(run.cut).marks}
    *others, last = (_(words) for role, words in _NAMES.items() if role in roles)
    return _("{some} and {last}", some=", ".join(others), last=last) if others else last


def _labelled_as_partners(kit: Kit, planned: PlannedRun, pieces: Counter[str]) -> Iterator[str]:
    """Yield the pieces whose label is drawn on their mirror partner, which lies on top."""
    if not _ends_face_down(planned.run):
        return
    for piece in pieces:
        marks = kit.pieces[piece].region(planned.run.cut).marks
        if len(planned.plies[piece].gives) > 1 and any(mark.role == LABEL for mark in marks):
            yield piece

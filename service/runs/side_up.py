"""Which side of cloth lies up: what a tool draws on it belongs on the wrong side.

Common practice, no source: pieces are marked on the wrong side, where no line shows once they are
sewn. A layout is seen from the side that is up, so cloth that lies wrong side up gives the mirror
image of each piece: it lies so only where every piece is its own mirror image at its grain.
"""

from __future__ import annotations

from collections.abc import Iterator

from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.notices import Notice
from service.runs.plies import is_same_turned_over
from service.texts import gettext as _
from service.tools import kind_of
from service.tools.cloth import CLOTH, CLOTH_PEN


def lies_wrong_side_up(kit: Kit, run: Run) -> bool:
    """Return whether a run's cloth is laid wrong side up, so that nothing is drawn on its face."""
    if not (bears_marks(kit, run) or kind_of(run.cutter.tool).is_cut_by_hand):
        return False
    return _has_one_side_up(run) and not run.anchors and not list(_of_one_hand(kit, run))


def side_warnings(kit: Kit, run: Run) -> list[str]:
    """Return a warning where marks are drawn on the right side of cloth, and what to do."""
    is_odd = run.is_face_to_face and run.layers % 2 == 1
    if not (_has_one_side_up(run) or (is_odd and _is_cut_cloth(run))):
        return []
    if not bears_marks(kit, run) or lies_wrong_side_up(kit, run):
        return []
    if run.anchors:
        why = _("the print has to be seen")
    elif is_odd:
        why = _("the last layer has no partner")
    else:
        why = _("{pieces} would come out mirrored if it were turned over", pieces=_listed(kit, run))
    what = (
        _(
            "The beam marks the right side, which is up because {why}: try its lowest power on a "
            "scrap of this cloth, or leave the marks out.",
            why=why,
        )
        if kind_of(run.cutter.tool).is_beam
        else _(
            "The pen draws on the right side, which is up because {why}: use a pen whose lines "
            "wash out, and try it on a scrap of this cloth first.",
            why=why,
        )
    )
    return [Notice(what)]


def pen_words(kit: Kit, run: Run) -> Iterator[str]:
    """Yield which pen draws on the side of cloth that does not show, beside a blade.

    A cutter that only draws says it in its own first steps.
    """
    kind = kind_of(run.cutter.tool)
    if kind.is_beam or kind.is_cut_by_hand or not bears_marks(kit, run):
        return
    if run.material.kind in CLOTH and not side_warnings(kit, run):
        yield _(CLOTH_PEN)


def _has_one_side_up(run: Run) -> bool:
    """Return whether all plies of a run's cloth lie the same side up."""
    return _is_cut_cloth(run) and not run.is_face_to_face


def _is_cut_cloth(run: Run) -> bool:
    return run.material.kind in CLOTH and run.cut == "patch"


def bears_marks(kit: Kit, run: Run) -> bool:
    """Return whether the tool draws marks on pieces; a die's maker only notes them."""
    if kind_of(run.cutter.tool).is_pressed:
        return False
    return any(kit.pieces[name].region(run.cut).marks for name in run.quantities)


def _of_one_hand(kit: Kit, run: Run) -> Iterator[str]:
    return (name for name in run.quantities if not is_same_turned_over(kit, run, name))


def _listed(kit: Kit, run: Run) -> str:
    return ", ".join(_of_one_hand(kit, run))

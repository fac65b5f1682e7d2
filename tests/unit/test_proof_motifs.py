"""The second measurement on a print: a piece beside its motif, or turned, is found."""

from __future__ import annotations

import pytest

from geometry.model.motif import Affine, MotifPosition, PrintedCloth, Repeat
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement
from geometry.model.points import Point
from geometry.model.transform import Rigid
from geometry.motif_fit import MeasuredMotif, fit_motifs
from geometry.proof.motifs import check_on_motifs
from service.runs.motifs import symmetry_deg

REPEAT = Repeat(100.0, 80.0, 40.0, (MotifPosition(10.0, 20.0), MotifPosition(60.0, 60.0, 90.0)))
STRAIGHT = PrintedCloth(REPEAT, Affine.turned(0.0, 5.0, 7.0))
ASKEW = PrintedCloth(REPEAT, Affine(1.01, 0.02, 5.0, -0.03, 0.98, 7.0))
SQUARE = Outline.of([(0, 0), (30, 0), (30, 30), (0, 30)])


@pytest.mark.parametrize(
    ("move", "symmetry", "is_right"),
    [
        # The anchor at 4, 3; motif 2, 3 of the first kind: 5 + 200 + 10, 7 + 240 + 80 + 20.
        (Rigid(0.0, 215.0 - 4.0, 347.0 - 3.0), 360.0, True),
        (Rigid(0.0, 215.0 - 4.0, 347.0 - 2.99), 360.0, False),
        # The second kind is turned by 90 degrees: at 65, 67; the anchor goes to -3, 4.
        (Rigid(90.0, 65.0 + 3.0, 67.0 - 4.0), 360.0, True),
        (Rigid(0.0, 65.0 - 4.0, 67.0 - 3.0), 360.0, False),
        (Rigid(0.0, 65.0 - 4.0, 67.0 - 3.0), 90.0, True),
        # A column on without the drop.
        (Rigid(0.0, 115.0 - 4.0, 27.0 - 3.0), 360.0, False),
        (Rigid(0.0, 115.0 - 4.0, 67.0 - 3.0), 360.0, True),
    ],
)
def test_a_piece_on_a_motif(move: Rigid, symmetry: float, is_right: bool) -> None:
    load = Load((Placement("S", move),))
    faults = check_on_motifs(load, {"S": Point(4.0, 3.0)}, {"S": symmetry}, STRAIGHT)
    assert (not faults) is is_right


def test_the_motifs_of_cloth_that_lies_askew() -> None:
    """Every motif that is listed is one by the second measurement; one beside it is not."""
    box = Outline.of([(-200, -200), (300, -200), (300, 300), (-200, 300)]).bounds
    found = list(ASKEW.motifs(box))
    # About 500 x 500 / (100 x 80 x 0.9904) x 2.
    assert 50 <= len(found) <= 76
    for motif in found:
        for off, is_right in ((0.0, True), (0.01, False)):
            move = Rigid(motif.turn_deg, motif.x + off, motif.y)
            load = Load((Placement("S", move),))
            faults = check_on_motifs(load, {"S": Point(0.0, 0.0)}, {"S": 360.0}, ASKEW)
            assert (not faults) is is_right


def test_a_fit_finds_the_map_again() -> None:
    """Motifs placed by a known affine map give that map, whichever three are measured."""
    places = [REPEAT.place(0, 0, 0), REPEAT.place(3, -1, 1), REPEAT.place(1, 4, 0)]
    fit = fit_motifs([MeasuredMotif(each, ASKEW.lies(*each)) for each in places])
    for name in ("xx", "xy", "x0", "yx", "yy", "y0"):
        assert getattr(fit.lies, name) == pytest.approx(getattr(ASKEW.lies, name), abs=1e-9)


def test_symmetries_of_outlines() -> None:
    middle, corner = Point(15.0, 15.0), Point(0.0, 0.0)
    assert symmetry_deg(SQUARE, middle) == 90.0
    assert symmetry_deg(SQUARE, corner) == 360.0
    oblong = Outline.of([(0, 0), (30, 0), (30, 20), (0, 20)])
    assert symmetry_deg(oblong, Point(15.0, 10.0)) == 180.0

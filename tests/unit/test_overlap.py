"""The second look at a layout sees what the first could get wrong."""

import math

from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement
from geometry.model.transform import Rigid
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build

ROOM = WorkArea.rectangle(0, 0, 100, 100)
SQUARE = Outline.of([(0, 0), (10, 0), (10, 10), (0, 10)])


def load(*places: tuple[float, float], turn: float = 0.0) -> Load:
    return Load(tuple(Placement("A", Rigid(turn, x, y)) for x, y in places))


def faults(found: Load, gap: float = 0.0, outline: Outline = SQUARE) -> list[str]:
    return check_load({"A": outline}, found, ROOM, gap)


def test_touching_is_allowed_without_a_gap() -> None:
    assert faults(load((0, 0), (10, 0), (0, 10))) == []


def test_overlap_is_seen() -> None:
    assert len(faults(load((0, 0), (9.999, 0)))) == 1
    assert len(faults(load((0, 0), (0, 0)))) == 1
    assert len(faults(load((0, 0), (9.99999, 0)))) == 1


def test_a_gap_too_small_is_seen() -> None:
    assert faults(load((0, 0), (12, 0)), gap=2.0) == []
    assert len(faults(load((0, 0), (11.9999, 0)), gap=2.0)) == 1


def test_outside_is_seen() -> None:
    assert len(faults(load((90.001, 0)))) == 1
    assert len(faults(load((0, -0.001)))) == 1
    assert faults(load((90, 90))) == []


def test_one_within_another_is_seen() -> None:
    both = Load((Placement("A", Rigid()), Placement("B", Rigid(0, 4, 4))))
    small = Outline.of([(0, 0), (1, 0), (1, 1), (0, 1)])
    assert len(check_load({"A": SQUARE, "B": small}, both, ROOM, 0.0)) == 1


def test_arcs_are_measured_as_arcs() -> None:
    circle = build("circle", {"diameter": 20.0})
    assert faults(load((10, 10), (30, 10)), outline=circle) == []
    assert len(faults(load((10, 10), (29.9999, 10)), outline=circle)) == 1
    assert faults(load((10, 10), (31, 10)), gap=1.0, outline=circle) == []
    assert len(faults(load((10, 10), (30.999, 10)), gap=1.0, outline=circle)) == 1


def test_cusps_that_touch_are_no_overlap() -> None:
    # At a cusp the boundary turns by half a turn; read as a turn to the right, drawing the tip in
    # would push it out.
    arc = -math.tan(math.pi / 8)
    webbing = Outline.of([(-20, 10, arc), (0, -10, arc), (20, 10)])
    across = webbing.bounds.width
    assert faults(load((25, 20), (25 + across, 20)), outline=webbing) == []
    # Tips 0.2 mm into each other are 0.2 x 0.2 / (4 x 14.1) = 0.0007 mm wide where they cross.
    assert len(faults(load((25, 20), (25 + across - 0.2, 20)), outline=webbing)) == 1


def test_an_arc_beyond_the_edge_by_less_than_the_accuracy_is_within() -> None:
    # Each half circle of a clamshell ends in corners of 90 degrees, where its ends move sideways.
    shell = build("clamshell", {"width": 50.8})
    box = shell.bounds
    # A room with one corner cut off: no rectangle, and straight where the shell touches it.
    room = WorkArea(Outline.of([(0, 0), (100, 0), (100, 90), (90, 100), (0, 100)]))

    def at(over: float) -> list[str]:
        put = Load((Placement("A", Rigid(0.0, 10 - box.left, 100.0 + over - box.top)),))
        return check_load({"A": shell}, put, room, 0.0)

    assert at(0.0) == []
    assert at(2.5e-7) == []
    assert at(2e-6) != []

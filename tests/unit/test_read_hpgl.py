"""The HP-GL reader on files written by hand.

Source:
    "The HP-GL/2 and HP RTL Reference Guide", Addison-Wesley 1996, ISBN 0-201-63325-6: 40 plotter
    units are 1 mm; PU and PD take lists of absolute points; AA the centre, a sweep in degrees,
    positive counter-clockwise, and a chord angle, which is 5 degrees where none is stated.
"""

from __future__ import annotations

import math

import pytest

from adapters.readers.hpgl import read


def test_points_pens_and_speeds() -> None:
    data = b"IN;SP2;VS7;PU400,800;PD800,800,800,1200;PU;SP3;PU;PD400,400;PU0,0;\nPD40,0,0,40,0,0;"
    first, second, third = read(data, 40.0)
    assert first.start == (10, 20)
    assert [(move.middle, move.end) for move in first.segments] == [
        ((15, 20), (20, 20)),
        ((20, 25), (20, 30)),
    ]
    assert (first.group, first.closed, first.work) == ("2", False, (("speed_cm_s", 7.0),))
    # From where the tool was raised; another pen has no speed until one is stated for it.
    assert (second.start, second.segments[0].end) == ((20, 30), (10, 10))
    assert (second.group, second.closed, second.work) == ("3", False, ())
    # Without an end of the file's own: the last stroke counts, and it returns to its start.
    assert third.start == (0, 0)
    assert third.closed
    assert [move.end for move in third.segments] == [(1, 0), (0, 1), (0, 0)]


def test_a_plotter_begins_at_its_origin() -> None:
    (stroke,) = read(b"IN;SP1;PD400,0;PU;", 40.0)
    assert (stroke.start, stroke.segments[0].middle, stroke.segments[0].end) == (
        (0, 0), (5, 0), (10, 0),
    )  # fmt: skip


def test_other_units() -> None:
    (stroke,) = read(b"IN;SP1;PU1000,2000;PD3000,2000;PU;", 100.0)
    assert (stroke.start, stroke.segments[0].end) == ((10, 20), (30, 20))


@pytest.mark.parametrize(
    ("sweep", "middle", "end"),
    [
        ("90", (10 + math.sqrt(50), 10 + math.sqrt(50)), (10, 20)),
        ("-90", (10 + math.sqrt(50), 10 - math.sqrt(50)), (10, 0)),
        ("180", (10, 20), (0, 10)),
        ("-180", (10, 0), (0, 10)),
        ("270", (10 - math.sqrt(50), 10 + math.sqrt(50)), (10, 0)),
    ],
)
def test_arcs(sweep: str, middle: tuple[float, float], end: tuple[float, float]) -> None:
    """From (20, 10) around (10, 10); then a line from where the arc ends."""
    data = f"IN;SP1;PU800,400;AA400,400,{sweep},0.5;PD40,40;PU;".encode()
    (stroke,) = read(data, 40.0, arcs=True)
    arc, line = stroke.segments
    assert arc.middle == pytest.approx(middle)
    assert arc.end == pytest.approx(end)
    assert line.middle == pytest.approx(((end[0] + 1) / 2, (end[1] + 1) / 2))
    with pytest.raises(ValueError, match="AA"):
        read(data, 40.0)


@pytest.mark.parametrize(
    ("radius", "chord", "is_fine"),
    [
        # A chord of an angle a is radius * (1 - cos(a / 2)) off: of 5 degrees, 0.00095 radius.
        (5, "", True),
        (5, ",5", True),
        (6, "", False),
        (6, ",5", False),
        # Of 2 degrees, 0.000152 radius.
        (34, ",2", True),
        (35, ",2", False),
        # The smallest angle that our files ask for, however large the arc is.
        (800, ",0.5", True),
        (800, ",0.6", False),
    ],
)
def test_chords_of_a_machine_stay_at_the_arc(radius: int, chord: str, is_fine: bool) -> None:
    data = f"IN;SP1;PU{40 * radius},0;AA0,0,90{chord};PU;".encode()
    if is_fine:
        assert len(read(data, 40.0, arcs=True)) == 1
    else:
        with pytest.raises(ValueError, match="chords of"):
            read(data, 40.0, arcs=True)


@pytest.mark.parametrize("word", ["PA1,1", "PR1,1", "CI40", "AR1,1,90", "LB1", "pd1,1", "X"])
def test_other_instructions_are_refused(word: str) -> None:
    with pytest.raises(ValueError, match="unexpected instruction"):
        read(f"IN;SP1;PU0,0;{word};PU;".encode(), 40.0, arcs=True)


@pytest.mark.parametrize("word", ["PD1", "PD1,2,3", "PD1.5,2", "PUx,1", "SP", "SP1.5"])
def test_a_point_has_two_whole_numbers(word: str) -> None:
    with pytest.raises((ValueError, IndexError)):
        read(f"IN;SP1;PU0,0;{word};PU;".encode(), 40.0)

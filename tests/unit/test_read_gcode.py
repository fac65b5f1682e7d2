"""The G-code reader on programs written by hand, by the rules of NISTIR 6556 (RS274NGC)."""

from __future__ import annotations

import math

import pytest

from adapters.readers.gcode import read
from adapters.readers.strokes import ReadStop

HEAD = "G17 G21 G40 G90 G94\n"


def places(program: str) -> list[list[tuple[float, ...]]]:
    """Return start and ends of each stroke, with the middle before each end."""
    strokes, _ = read((HEAD + program).encode())
    return [
        [
            (round(x, 6), round(y, 6))
            for x, y in (s.start, *(p for m in s.segments for p in (m.middle, m.end)))
        ]
        for s in strokes
    ]


def test_words_stay_until_others_are_stated() -> None:
    """A line without G repeats the motion, and one without X or Y keeps that coordinate."""
    program = "G0 X10 Y20\nM3 S300\nG1 X30 F600\nY40\nX10 Y20\nM5\nM2\n"
    assert places(program) == [
        [(10, 20), (20, 20), (30, 20), (30, 30), (30, 40), (20, 30), (10, 20)]
    ]
    (stroke,), _ = read((HEAD + program).encode())
    assert stroke.closed
    assert dict(stroke.work) == {"feed_mm_min": 600.0, "power": 300.0, "power_word": "M3"}


def test_a_program_begins_at_0_0_without_a_layer() -> None:
    """What a first line leaves out keeps its value, as in any other (NISTIR 6556, 3.5.1)."""
    assert places("M3 S300\nG1 Y10 F600\nM5\nM2\n") == [[(0, 0), (0, 5), (0, 10)]]
    assert places("M3 S300\nG1 X10 F600\nM5\nM2\n") == [[(0, 0), (5, 0), (10, 0)]]
    (stroke,), _ = read((HEAD + "M3 S300\nG1 Y10 F600\nM5\nM2\n").encode())
    assert stroke.group == ""


def test_what_a_program_does_not_state() -> None:
    """Millimetres, travel and no power: our own choice; a machine may differ."""
    (stroke,), _ = read(b"X10 Y20\nM3\nG1 X30 F600\nM5\nM2\n")
    assert stroke.start == (10.0, 20.0)
    assert [move.end for move in stroke.segments] == [(30.0, 20.0)]
    assert dict(stroke.work) == {"feed_mm_min": 600.0, "power": 0.0, "power_word": "M3"}


def test_inches_are_25_4_mm() -> None:
    program = "G20\nG0 X1 Y2 Z0.2\nG1 Z-0.1 F10\nG1 X3 F20\nG2 X3 Y4 I0 J1\nG0 Z0.2\nM2\n"
    (stroke,), _ = read((HEAD + program).encode())
    assert stroke.start == (25.4, 50.8)
    assert stroke.segments[0].end == pytest.approx((76.2, 50.8))
    # Clockwise from the lowest point of the circle around (3, 3) to its highest: over the left.
    assert stroke.segments[1].middle == pytest.approx((50.8, 76.2))
    assert stroke.segments[1].end == pytest.approx((76.2, 101.6))
    assert dict(stroke.work) == pytest.approx(
        {"depth_mm": -2.54, "plunge_feed_mm_min": 254.0, "feed_mm_min": 508.0, "clear_mm": 5.08}
    )
    assert not stroke.closed


@pytest.mark.parametrize(
    ("block", "middle"),
    [
        # From (20, 10) around (10, 10), radius 10.
        ("G3 X10 Y20 I-10 J0", (10 + math.sqrt(50), 10 + math.sqrt(50))),
        ("G2 X10 Y20 I-10 J0", (10 - math.sqrt(50), 10 - math.sqrt(50))),
        ("G3 X0 Y10 I-10", (10, 20)),
        ("G2 X0 Y10 I-10", (10, 0)),
        # A full circle ends where it begins; its middle is opposite.
        ("G3 X20 Y10 I-10 J0", (0, 10)),
        ("G2 X20 Y10 I-10 J0", (0, 10)),
        # Around (20, 20): from the lowest point to the right.
        ("G3 X30 Y20 J10", (20 + math.sqrt(50), 20 - math.sqrt(50))),
    ],
)
def test_arcs_by_the_offset_of_their_centre(block: str, middle: tuple[float, float]) -> None:
    (found,) = places(f"G0 X20 Y10\nM3 S1\n{block} F600\nM5\nM2\n")
    assert found[1] == pytest.approx(middle, abs=1e-6)


def test_the_ends_of_an_arc_agree_in_radius_within_2_thousandths() -> None:
    """10 mm at the start; 10.0015 mm and 10.0025 mm at the end, and the same in inches."""
    assert places("G0 X20 Y10\nM3 S1\nG3 X10 Y20.0015 I-10 J0 F600\nM5\nM2\n")
    for end in ("Y20.0025", "Y19.9975"):
        with pytest.raises(ValueError, match="not equally far"):
            places(f"G0 X20 Y10\nM3 S1\nG3 X10 {end} I-10 J0 F600\nM5\nM2\n")
    with pytest.raises(ValueError, match="not equally far"):
        places("G20\nG0 X2 Y1\nM3 S1\nG3 X1 Y2.0001 I-1 J0 F600\nM5\nM2\n")


LASER, KNIFE = "G0 X0 Y0\nM3 S5\n", "G0 Z5\nG0 X0 Y0\nG1 Z-1 F100\n"


@pytest.mark.parametrize(
    ("program", "words"),
    [
        (f"{LASER}G1 X5 F600\nM5\nM2\nG0 X1\n", "after its end"),
        (f"{LASER}G1 X5 F600\nM0\nM5\nM2\n", "stops with the tool lowered"),
        (f"{KNIFE}G1 X5 F600\nM0\nG0 Z5\nM2\n", "stops with the tool lowered"),
        ("G0 Z5\nG0 X0 Y0\nG0 Z-1\nM2\n", "plunges in a rapid move"),
        ("G0 Z5\nG0 X0 Y0\nZ-1\nM2\n", "plunges in a rapid move"),
        (f"{LASER}G0 X5\nM5\nM2\n", "rapid move with the tool lowered"),
        (f"{KNIFE}G0 X5\nG0 Z5\nM2\n", "rapid move with the tool lowered"),
        ("G0 X0 Y0\nG1 X5 F600\nM2\n", "cutting move with the tool raised"),
        (f"{LASER}G1 X5 F600\nM5\nG1 X9\nM2\n", "cutting move with the tool raised"),
        (f"{KNIFE}G1 X5 F600\nG1 Z5\nG1 X9\nM2\n", "cutting move with the tool raised"),
        (f"{KNIFE}G1 X5 F600\nG1 Z0\nG1 X9\nM2\n", "cutting move with the tool raised"),
        (f"{LASER}G1 X5\nM5\nM2\n", "without a feed"),
        (f"{LASER}G1 X5 F600\nX9 F601\nM5\nM2\n", "changes within a stroke"),
        (f"{LASER}G1 X5 F600\nX9 S6\nM5\nM2\n", "changes within a stroke"),
        (f"{LASER}G1 X5 F600\nG18\nM5\nM2\n", "unexpected G18"),
        ("G91\nM2\n", "unexpected G91"),
        ("G90.1\nM2\n", "unexpected G90.1"),
        ("G41\nM2\n", "unexpected G41"),
        ("G93\nM2\n", "unexpected G93"),
        (f"{LASER}G1 X5 F600 X\nM5\nM2\n", "cannot be read"),
        (f"{LASER}G1 X5 F600 ; end\nM5\nM2\n", "cannot be read"),
        (f"{LASER}g1 x5\nM5\nM2\n", "cannot be read"),
        (f"{LASER}G1 X1e3 F600\nM5\nM2\n", "cannot be read"),
    ],
)
def test_what_a_machine_must_not_be_sent(program: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        read((HEAD + program).encode())


def test_what_each_stroke_states_and_when_the_machine_stops() -> None:
    program = (
        "(Load the card)\n(in the corner)\nM0\n(cut-45deg)\nG0 Z5\nG0 X0 Y0\nG1 Z-1 F100\n"
        "G1 X5 F600\nG0 Z5\n(cut the flag 1)\nG0 Z7\nG0 X0 Y9\nG1 Z-2 F200\nG1 X5 F600\nG0 Z5\n"
        "(score)\nG0 X0 Y10\nG1 Z-3 F300\nG1 X9 F700\nG0 Z5\n(Turn)\nM0\nM2\n"
    )
    strokes, stops = read((HEAD + program).encode())
    assert stops == [ReadStop(0, "Load the card in the corner"), ReadStop(3, "Turn")]
    # A comment about a piece names no layer.
    assert [stroke.group for stroke in strokes] == ["cut-45deg", "cut-45deg", "score"]
    assert [dict(stroke.work) for stroke in strokes] == [
        {"clear_mm": 5, "depth_mm": -1, "plunge_feed_mm_min": 100, "feed_mm_min": 600},
        {"clear_mm": 7, "depth_mm": -2, "plunge_feed_mm_min": 200, "feed_mm_min": 600},
        {"clear_mm": 5, "depth_mm": -3, "plunge_feed_mm_min": 300, "feed_mm_min": 700},
    ]
    assert not any(stroke.closed for stroke in strokes)


def test_a_laser_under_dynamic_power_and_one_switched_on_twice() -> None:
    strokes, _ = read(
        (
            HEAD + "G0 X0 Y0\nM4 S5\nG1 X5 F600\nM4 S9\nG1 X9\nM5\nG0 X1 Y1\nM3 S7\nG1 X2\nM2\n"
        ).encode()
    )
    assert [(s.start.x, s.segments[-1].end.x, dict(s.work)) for s in strokes] == [
        (0, 5, {"feed_mm_min": 600, "power": 5, "power_word": "M4"}),
        (5, 9, {"feed_mm_min": 600, "power": 9, "power_word": "M4"}),
        (1, 2, {"feed_mm_min": 600, "power": 7, "power_word": "M3"}),
    ]

"""G-code of other hands is read as a controller moves its tool.

Worked by hand from NISTIR 6556 (RS274/NGC version 3): G0 to G3, G20 and G21, G90 and G91.
"""

from __future__ import annotations

import math

import pytest

from geometry.measure import area, perimeter
from geometry.model.outline import Chain, Outline
from geometry.shapes.curves import TOLERANCE
from service.drawings.drawing import Drawing, DrawingError
from service.drawings.gcode import read_gcode
from service.drawings.inspect import inspect_file
from service.requests.inspections import InspectionRequest


def read(text: str, units: str | None = None) -> Drawing:
    return read_gcode(text.encode(), units=units)


#: 30 by 20 mm from (10, 5), as different programs write it.
SAME = {
    "plain": "G21 G90\nG0 X10 Y5\nM3 S100\nG1 X40 F900\nG1 Y25\nG1 X10\nG1 Y5\nM5\nM2",
    "modal": "G21G90\nG0X10Y5\nM4S1\nG1F900\nX40\nY25\nX10\nY5\nM5\nG0X0Y0",
    "incremental": "G21 G91\nG0 X10 Y5\nM3\nG1 X30\nY20\nX-30\nY-20\nM5",
    "plunged": "%\nG21 G90 G17\nM3 S9000\nG0 Z5\nX10 Y5\nG1 Z-1 F100\nX40\nY25\nX10"
    "\nY5\nG0 Z5\nX99 Y99\nM5\nM30\n%",
    "two depths": "G21 G90\nG0 Z5\nX10 Y5\nG1 Z-1\nX40\nY25\nX10\nY5\nG0 Z5\nX10 Y5\nG1 Z-2\nX40"
    "\nY25\nX10\nY5\nG0 Z5",
    "a lifted pen": "G21\nG90\nG0 Z3\nG0 X10 Y5\nG0 Z0\nG1 X40\nY25\nX10\nY5\nG0 Z3\nG0 X0 Y0",
    "power by S": "G21 G90\nM3 S0\nG1 X10 Y5\nG1 X40 S200\nY25\nX10\nY5\nG1 X0 Y0 S0\nM5",
    "inch": "G20 G90\nG0 X.3937008 Y.1968504\nM3\nG1 X1.5748031\nY.984252\nX.3937008"
    "\nY.1968504\nM5",
    "numbers and comments": "(made by hand)\nN10 G21 G90 (mm)\nN20 G00 X10. Y5. ; start\nN30 M03\n"
    "N40 G01 X40.\nN50 Y25.\n/N55 G01 X999\nN60 X10.\nN70 Y5.\nN80 M05",
    "lower case and blanks": "g21 g90\ng0 x10 y5\nm3\ng1 x4 0\ny25\nx10\ny5\nm5",
    "another zero": "G21 G90\nG92 X0 Y0\nG0 X-5 Y-5\nG92 X10 Y5\nM3\nG1 X40\nY25\nX10\nY5\nM5",
}  # fmt: skip


@pytest.mark.parametrize("name", SAME)
def test_one_rectangle_in_many_hands(name: str) -> None:
    drawing = read(SAME[name])
    (path,) = drawing.paths
    assert path.closed
    bounds = Outline(path.vertices).bounds
    assert tuple(bounds) == pytest.approx((10, 5, 40, 25), abs=1e-5)


@pytest.mark.parametrize(
    ("arc", "length"),
    [
        # From (10, 0) about the origin: quarters, three quarters, a half, whole turns.
        ("G3 X0 Y10 I-10 J0", 5 * math.pi),
        ("G2 X0 Y10 I-10 J0", 15 * math.pi),
        ("G3 X0 Y10 R10", 5 * math.pi),
        ("G3 X0 Y10 R-10", 15 * math.pi),
        ("G2 X0 Y-10 R10", 5 * math.pi),
        ("G2 X-10 Y0 I-10", 10 * math.pi),
        ("G3 X-10 Y0 R10", 10 * math.pi),
        ("G2 I-10", 20 * math.pi),
        ("G3 X10 Y0 I-10 J0", 20 * math.pi),
        ("G90.1\nG3 X0 Y10 I0 J0", 5 * math.pi),
        ("G91\nG3 X-10 Y10 I-10 J0", 5 * math.pi),
        ("G20\nG91\nG3 X-.3937008 Y.3937008 I-.3937008 J0", 5 * math.pi),
    ],
)
def test_arcs_by_centre_and_by_radius(arc: str, length: float) -> None:
    (path,) = read(f"G21 G90 G17\nG0 X10 Y0\nM3\n{arc}\nM5").paths
    shape = Outline(path.vertices) if path.closed else Chain(path.vertices)
    assert perimeter(shape) == pytest.approx(length, abs=1e-5)
    # The arc by a negative radius is about (10, 10), the others about the origin.
    middle = 10.0 if "R-10" in arc else 0.0
    reach = [math.hypot(v.x - middle, v.y - middle) for v in path.vertices]
    assert reach == pytest.approx([10.0] * len(reach), abs=1e-4)


def test_arcs_turn_the_right_way() -> None:
    """A clamshell of radius 10: area 2 r2 = 200 mm2 only if each arc bows the right way."""
    program = "G21 G90\nG0 X20 Y0\nM3\nG3 X0 Y0 I-10 J0\nG2 X10 Y-10 I0 J-10\nG2 X20 Y0 I10 J0\nM5"
    (path,) = read(program).paths
    assert area(Outline(path.vertices)) == pytest.approx(200)


def test_moves_that_draw_nothing_are_listed() -> None:
    drawing = read("G21 G90\nM5\nG0 X0 Y0\nG1 X50\nM3\nG1 Y50\nM5\nG1 X0\nM2\nG1 X900")
    assert len(drawing.paths) == 1
    assert {each.element: each.count for each in drawing.skipped} == {"move (tool off)": 2}


def test_passes_at_several_depths_are_one_line() -> None:
    assert any("1 pass more" in note for note in read(SAME["two depths"]).notes)


def test_units_are_the_programs_own_or_stated() -> None:
    program = "G90\nG0 X0 Y0\nM3\nG1 X2\nM5"
    with pytest.raises(DrawingError, match="G20 or G21"):
        read(program)
    assert read(program, "in").paths[0].vertices[-1].x == pytest.approx(50.8)
    stated = read("G21\n" + program, "in")
    assert stated.paths[0].vertices[-1].x == pytest.approx(2)
    assert any("own unit, 1 mm" in note for note in stated.notes)


@pytest.mark.parametrize(
    ("line", "word"),
    [
        ("G1 X[#1+2]", "Line 3: Variables"),
        ("#1=4", "Variables"),
        ("G1 Xten", "Line 3: .* cannot be read"),
        ("G1 X1e3", "exponent"),
        ("G18", "G18 is not supported"),
        ("G41", "G41 is not supported"),
        ("G81 X1 Y1 Z-1", "G81 is not supported"),
        ("G2 X5 Y5", "I and J, or R"),
        ("G2 X5 Y5 I1 J0", "from its centre"),
        ("G2 X50 Y0 R10", "does not reach"),
        ("G2 X0 Y0 R10", "another end"),
        ("M98 P1000", "subprogram"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_line(line: str, word: str) -> None:
    with pytest.raises(DrawingError, match=word):
        read(f"G21 G90\nM3\n{line}\n")


@pytest.mark.parametrize("name", SAME)
def test_the_format_is_guessed(name: str) -> None:
    request = InspectionRequest(None, None, "", TOLERANCE, "")
    found = inspect_file(SAME[name].encode(), request, None)
    assert found.format == "gcode"
    assert found.outlines[0].area_mm2 == pytest.approx(600, abs=1e-3)

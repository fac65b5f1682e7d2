"""HP-GL of other hands is read as a plotter draws it; what it cannot draw is refused by name.

Worked by hand from "The HP-GL/2 and HP RTL Reference Guide" (1996): a plotter unit is 0.025 mm.
"""

from __future__ import annotations

import math

import pytest

from geometry.measure import area, perimeter
from geometry.model.outline import Chain, Outline
from geometry.shapes.curves import TOLERANCE
from service.drawings.drawing import Drawing, DrawingError
from service.drawings.hpgl import read_hpgl


def read(text: str, units: str | None = None) -> Drawing:
    return read_hpgl(text.encode("latin-1"), units=units, tolerance=TOLERANCE)


def box(drawing: Drawing) -> tuple[float, float, float, float]:
    """Return left, bottom, right and top of everything drawn."""
    shapes = [
        Outline(path.vertices) if path.closed else Chain(path.vertices) for path in drawing.paths
    ]
    boxes = [part.bounds() for shape in shapes for part in shape.segments]
    return (
        min(b.left for b in boxes), min(b.bottom for b in boxes),
        max(b.right for b in boxes), max(b.top for b in boxes),
    )  # fmt: skip


#: 30 by 20 mm from (10, 5), as different programs write it.
SAME = {
    "lists": "IN;SP1;PU400,200;PD1600,200,1600,1000,400,1000,400,200;PU;",
    "one point an instruction": "IN;SP1;PA400,200;PD;PA1600,200;PA1600,1000;PA400,1000;PA400,200;",
    "relative": "IN;SP1;PU400,200;PR;PD1200,0;PD0,800;PD-1200,0,0,-800;PU;",
    "relative by PR": "IN;SP1;PA400,200;PD;PR1200,0,0,800,-1200,0,0,-800;PU;PA0,0;",
    "no terminators": "INSP1PU400 200PD1600 200 1600,1000PA400,1000,400,200PUSP0",
    "signs as separators": "IN;SP1;PU+400+200;PD1600+200+1600+1000+400+1000+400+200;",
    "lower case": "in;sp1;pu400,200;pd1600,200,1600,1000,400,1000,400,200;pu;",
    "decimals": "IN;SP1;PU400.0,200.;PD1600,200.00,1600,1000,400,1000,400,200;",
    "lines and blanks": "IN;\r\nSP 1 ;\r\nPU 400, 200 ;\r\n PD 1600,200,\r\n1600,1000,400,1000,"
    "400,200;",
    "labels": "IN;SP1;LBPD9,9;PU\x03PU400,200;PD1600,200,1600,1000,400,1000,400,200;PU0,0;LBx\x03",
    "another label end": "IN;DT#;SP1;LBPD9,9;#PU400,200;PD1600,200,1600,1000,400,1000,400,200;",
    "manners": "IN;VS20;AS3,1;FS8;PW0.3;LT;PU400,200;PD1600,200,1600,1000,400,1000,400,200;",
    "escapes": "\x1b.(\x1b.M50;17:\x1b%0BIN;SP1;PU400,200;PD1600,200,1600,1000,400,1000,400,200;",
    "job language": "\x1b%-12345X@PJL\n@PJL ENTER LANGUAGE=HPGL2\nINSP1PU400,200PD1600,200,1600,"
    "1000,400,1000,400,200;\x1b%0A\x1bE\x1b%-12345X",
    "edge rectangle": "IN;SP1;PU400,200;EA1600,1000;",
    "edge rectangle, relative": "IN;SP1;PU1600,1000;ER-1200,-800;",
    "polygon": "IN;SP1;PU400,200;PM;PD1600,200,1600,1000,400,1000;PM2;EP;",
    # Millimetres as user units, from points 1000 mm apart, then by factors.
    "user units": "IN;IP0,0,40000,40000;SC0,1000,0,1000;SP1;PU10,5;PD40,5,40,25,10,25,10,5;",
    "user units by factor": "IN;IP0,0,1,1;SC0,40,0,40,2;SP1;PU10,5;PD40,5,40,25,10,25,10,5;",
    "user units from elsewhere": "IN;IP0,0,40000,40000;SC-100,900,-100,900;SP1;PU-90,-95;"
    "PD-60,-95,-60,-75,-90,-75,-90,-95;",
    "user units with an offset": "IN;IP400,200,1600,1000;SC0,1,0,1;SP1;PU0,0;PD1,0,1,1,0,1,0,0;",
    # Equal scales: 30 by 60 units on 30 by 20 mm are a third of a mm each, in the middle.
    "equal units": "IN;IP400,200,1600,1000;SC0,30,0,20,1;SP1;PU0,0;PD30,0,30,20,0,20,0,0;",
    "turned": "IN;RO90;SP1;PU200,-400;PD200,-1600,1000,-1600,1000,-400,200,-400;",
    "encoded": "IN;SP1;PE<=" + "{}" + ";",
    "polyline drawn in two": "IN;SP1;PU400,200;PD1600,200,1600,1000;PU;PU1600,1000;PD400,1000,"
    "400,200;",
}  # fmt: skip


def encoded(*numbers: int) -> str:
    """Return numbers of base 64 as PE has them: doubled, odd for negative, lowest digit first."""
    text = ""
    for number in numbers:
        rest = 2 * abs(number) + (number < 0)
        while rest >= 64:
            text += chr(63 + rest % 64)
            rest //= 64
        text += chr(191 + rest)
    return text


@pytest.mark.parametrize("name", SAME)
def test_one_rectangle_in_many_hands(name: str) -> None:
    text = SAME[name]
    if name == "encoded":
        text = text.format(encoded(400, 200, 1200, 0, 0, 800, -1200, 0, 0, -800))
    drawing = read(text)
    (path,) = drawing.paths
    assert path.closed
    assert path.group == "pen 1"
    assert box(drawing) == pytest.approx((10, 5, 40, 25))


def test_circles_arcs_and_wedges_are_exact() -> None:
    """A circle of 5 mm; a quarter of 10 mm twice; a half circle by three points; a wedge."""
    drawing = read(
        "IN;SP1;PU800,800;CI200;PU400,0;PD;AA0,0,90;PU2000,0;PD;AR-400,0,-90,2;"
        "PU4000,0;PD;AT4200,200,4400,0;PU6000,0;EW400,0,90;"
    )
    circle, wedge, *arcs = sorted(drawing.paths, key=lambda path: not path.closed)
    assert circle.closed
    assert wedge.closed
    assert len(circle.vertices) == 2
    assert area(Outline(circle.vertices)) == pytest.approx(25 * math.pi)
    assert area(Outline(wedge.vertices)) == pytest.approx(25 * math.pi)
    lengths = sorted(perimeter(Chain(path.vertices)) for path in arcs)
    assert lengths == pytest.approx([5 * math.pi] * 3)
    ends = sorted(path.vertices[-1][:2] for path in arcs)
    assert ends == [pytest.approx(end) for end in ((0, 10), (40, -10), (110, 0))]


def test_circles_of_unequal_units_are_ellipses() -> None:
    """User units of 1 mm across and 0.5 mm up: a circle of 10 is 20 by 10 mm."""
    drawing = read("IN;IP0,0,40,20;SC0,1,0,1;SP1;PU20,20;CI10;")
    assert box(drawing) == pytest.approx((10, 5, 30, 15), abs=0.02)


def test_what_is_no_outline_is_listed() -> None:
    drawing = read("IN;SP1;LBone\x03;SM+;SM;PU0,0;RA400,400;SP0;PD900,900;PU;LT2;IW0,0,9,9;")
    assert drawing.paths == ()
    assert {each.element: each.count for each in drawing.skipped} == {
        "LB (a label)": 1,
        "SM (symbols)": 1,
        "RA (a fill)": 1,
        "stroke (no pen)": 1,
    }
    assert any("dashes" in note for note in drawing.notes)
    assert any("Windows" in note for note in drawing.notes)


def test_its_own_unit_wins() -> None:
    (note,) = read("IN;SP1;PD400,0;", units="in").notes
    assert "0.025 mm" in note


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("IN;PU1e5,2;", "exponent"),
        ("IN;ZZ1,2;", "ZZ at character 3"),
        ("IN;PD1,2,3;", "an x without a y"),
        ("IN;SC0,1,0,1;PD1,1;", "add IP"),
        ("IN;IP0,0,9,9;SC0,0,0,1;", "range without width"),
        ("IN;LBwithout an end;PD3,3;", "ETX"),
        ("IN;PD*;", "no instruction"),
        ("IN;RO45;", "0, 90, 180 or 270"),
        ("IN;AA0,0;", "2 numbers"),
        ("IN;PE?;", "decoded"),
        # HP-GL/2 reference guide, PE: 26 binary digits after the point at most. Base 64, doubled.
        (f"IN;PE>{chr(191 + 2 * 27)}<=??;", "asks for 27 binary digits"),
        ("IN;EP;", "no polygon"),
        ("IN;IR0,0,100,100;", "use IP"),
    ],
)
def test_what_cannot_be_drawn_is_refused_with_its_place(text: str, word: str) -> None:
    with pytest.raises(DrawingError, match=word.replace("(", r"\(")):
        read(text)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        # Numbers whose squares are infinite; HP-GL/2 ends at 2^23 - 1.
        ("IN;SP1;PU0,0;PD;AA" + "1458" * 50 + ",5,90;PU;", "AA at character 18 has a number"),
        ("IN;SP1;PU0,0;PD" + "9" * 400 + ",0;PU;", "PD at character 15 has a number"),
        # An arc about a point that is next to its own.
        ("IN;SP1;PU0,0;PD;AA0." + "0" * 200 + "1,0,90;PU;", "radii are too large or too small"),
    ],
)
def test_numbers_that_cannot_be_squared_are_refused(text: str, message: str) -> None:
    """Found by the fuzz of blocks over HTTP, where they made an internal error."""
    with pytest.raises(DrawingError, match=message):
        read(text)

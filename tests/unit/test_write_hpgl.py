"""The instructions of HP-GL files, by hand.

Source:
    "The HP-GL/2 and HP RTL Reference Guide", Addison-Wesley 1996, ISBN 0-201-63325-6: 40 plotter
    units are 1 mm; PU and PD take lists of absolute points; SP selects a pen and SP0 none; VS is
    the speed of the pen that is selected; AA takes the centre, a sweep in degrees, positive
    counter-clockwise, and a chord angle from 0.5 degrees; numbers are within 16 bits.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest

from adapters.errors import CannotHoldError
from adapters.hpgl import ADAPTER
from adapters.sample import sample_plan
from geometry.model.outline import Operation, Vertex
from geometry.model.plan import CutPlan, Stop, Stroke

#: The bulge of a quarter circle.
QUARTER = math.tan(math.pi / 8)
SQUARE = Stroke(
    "cut", (Vertex(10, 10), Vertex(30, 10), Vertex(30, 20), Vertex(10, 20)), closed=True
)


def plan(*strokes: Stroke, stops: tuple[Stop, ...] = ()) -> CutPlan:
    return replace(sample_plan(), strokes=strokes, stops=stops)


def line(operation: Operation, *places: tuple[float, float], angle: float | None = None) -> Stroke:
    station = 1 if not angle else 2
    return Stroke(
        operation, tuple(Vertex(*each) for each in places), False, station, angle_deg=angle
    )


def written(*strokes: Stroke, **settings: object) -> list[str]:
    return ADAPTER.write(plan(*strokes), settings).data.decode("ascii").splitlines()


def losses(*strokes: Stroke, stops: tuple[Stop, ...] = (), **settings: object) -> str:
    return " ".join(ADAPTER.write(plan(*strokes, stops=stops), settings).losses)


def test_instructions_in_order() -> None:
    score, mark = line("score", (1, 2), (3, 4), (5, 6)), line("mark", (50, 60), (0.5, 0.25))
    square = ["PU400,400;", "PD1200,400,1200,800,400,800,400,400;", "PU;"]
    assert written(SQUARE, SQUARE, score, mark) == [
        "IN;", "SP1;", *square, *square, "SP2;", "PU40,80;", "PD120,160,200,240;", "PU;",
        "SP3;", "PU2000,2400;", "PD20,10;", "PU;", "SP0;",
    ]  # fmt: skip
    assert ADAPTER.write(plan(SQUARE), {}).data.endswith(b"PU;\nSP0;\n")


def test_each_pen_has_its_speed_and_no_faster_one() -> None:
    lines = written(SQUARE, line("score", (1, 2), (3, 4)), speed_cm_s=2.9)
    assert [each for each in lines if each[:2] in {"SP", "VS"}] == [
        "SP1;", "VS2;", "SP2;", "VS2;", "SP0;",
    ]  # fmt: skip
    assert not any(each.startswith("VS") for each in written(SQUARE))
    assert losses(SQUARE, speed_cm_s=2.9) == (
        "HP-GL states speeds in whole cm/s: 2.9 cm/s is written as 2 cm/s."
    )
    assert losses(SQUARE, speed_cm_s=3) == ""


def test_pens_of_layers() -> None:
    strokes = line("cut", (1, 2), (3, 4), angle=0.0), line("cut", (1, 2), (3, 4), angle=45.0)
    mark = line("mark", (1, 2), (3, 4))
    lines = written(*strokes, mark, pens={"cut": 4, "cut-45deg": 5})
    assert [each for each in lines if each.startswith("SP")] == ["SP4;", "SP5;", "SP3;", "SP0;"]


def test_a_stroke_within_a_place_of_the_grid_is_a_dot() -> None:
    assert written(line("cut", (10, 20), (10.005, 20))) == [
        "IN;", "SP1;", "PU400,800;", "PD400,800;", "PU;", "SP0;",
    ]  # fmt: skip


def test_other_units_and_axes() -> None:
    assert written(SQUARE, units_per_mm=100)[3] == "PD3000,1000,3000,2000,1000,2000,1000,1000;"
    # From the bed's middle, at (50, 50).
    assert written(SQUARE, origin="centre")[3] == "PD-800,-1600,-800,-1200,-1600,-1200,-1600,-1600;"


def test_an_arc_is_chords_close_to_it() -> None:
    """From (50, 10) around (40, 10); a chord 0.005 mm off is 2 * sqrt(2 * 10 * 0.005) mm long."""
    arc = Stroke("cut", (Vertex(50, 10, QUARTER), Vertex(40, 20)), closed=False)
    _, _, begin, drawn, *_ = written(arc)
    assert begin == "PU2000,400;"
    numbers = [int(each) / 40 for each in drawn[2:-1].split(",")]
    places = [(50.0, 10.0), *zip(numbers[::2], numbers[1::2], strict=True)]
    assert places[-1] == (40, 20)
    grid = math.sqrt(0.5) / 40
    for a, b in itertools.pairwise(places):
        assert math.dist(b, (40, 10)) == pytest.approx(10, abs=grid + 1e-6)
        assert math.dist(a, b) < 2 * math.sqrt(2 * 10 * 0.005) + 2 * grid
    assert losses(arc) == "HP-GL writes arcs as chords within 0.005 mm, on a grid of plotter units."


#: Of a radius of 10 mm, by r * (1 - cos(a / 2)) = 0.005 mm.
CHORD_DEG = "3.62"


@pytest.mark.parametrize(
    ("start", "end", "words"),
    [
        (Vertex(50, 10, QUARTER), (40, 20), [f"AA1600,400,90.0,{CHORD_DEG};", "PD1600,800;"]),
        (Vertex(40, 20, -QUARTER), (50, 10), [f"AA1600,400,-90.0,{CHORD_DEG};", "PD2000,400;"]),
        (
            Vertex(50, 10, 1.0),
            (30, 10),
            [
                f"AA1600,400,90.0,{CHORD_DEG};", "PD1600,800;",
                f"AA1600,400,90.0,{CHORD_DEG};", "PD1200,400;",
            ],
        ),
        # The largest and the smallest chord angle.
        (Vertex(1, 0, QUARTER), (0, 1), ["AA0,0,90.0,5.0;", "PD0,40;"]),
        (Vertex(600, 0, QUARTER), (0, 600), ["AA0,0,90.0,0.5;", "PD0,24000;"]),
    ],
)  # fmt: skip
def test_arcs_of_machines_that_have_them(
    start: Vertex, end: tuple[float, float], words: list[str]
) -> None:
    """Between two lines along x and from there to (80, 40)."""
    before = Vertex(start.x - 1, start.y)
    stroke = Stroke("cut", (before, start, Vertex(*end), Vertex(80, 40)), closed=False)
    first = f"{round(before.x * 40)},{round(before.y * 40)};"
    assert written(stroke, arcs="AA")[2:-1] == [
        f"PU{first}", f"PD{first}", f"PD{round(start.x * 40)},{round(start.y * 40)};",
        *words, "PD3200,1600;", "PU;",
    ]  # fmt: skip
    assert losses(stroke, arcs="AA") == (
        "HP-GL writes arcs as AA instructions, on a grid of plotter units."
    )


def test_tiny_arcs_are_chords() -> None:
    tiny = Stroke("cut", (Vertex(10.9, 10, 1.0), Vertex(9.1, 10)), closed=False)
    lines = written(tiny, arcs="AA")
    assert lines[2:4] == ["PU436,400;", "PD436,400;"]
    assert lines[4].startswith("PD435,40")
    # In two quarters.
    assert lines[4].endswith(",400,436;")
    assert lines[5].endswith(",364,400;")
    assert not any(each.startswith("AA") for each in lines)
    assert losses(tiny, arcs="AA") == (
        "HP-GL writes arcs of less than 1 mm radius, and those whose centre is more than 819.2 mm "
        "from the origin, as chords within 0.005 mm."
    )


@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize("is_upwards", [False, True])
def test_the_largest_coordinate(*, sign: int, is_upwards: bool) -> None:
    """32767 plotter units are 819.175 mm."""

    def to(size: float) -> Stroke:
        return line("cut", (1, 1), (0, sign * size) if is_upwards else (sign * size, 0))

    number = f"{sign * 32767}"
    assert written(to(819.175))[3] == (f"PD0,{number};" if is_upwards else f"PD{number},0;")
    with pytest.raises(CannotHoldError, match=r"is 819\.2 mm; the limit of HP-GL is 819\.175 mm"):
        written(to(819.2))
    assert f"{sign * 40000}" in written(to(1000.0), wide=True)[3]


def test_instructions_for_small_line_buffers() -> None:
    places = [(float(x), 0.0) for x in range(100)]
    drawn = [each for each in written(line("cut", *places)) if each.startswith("PD")]
    # Two numbers each of 99 places.
    assert [len(each.split(",")) for each in drawn] == [80, 80, 38]
    assert [int(each) for each in ",".join(each[2:-1] for each in drawn).split(",")][::2] == [
        40 * x for x in range(1, 100)
    ]
    far = [(60000.0 + x, 60000.0) for x in range(100)]
    drawn = [
        each
        for each in written(line("cut", *far), units_per_mm=1000, wide=True)
        if each.startswith("PD")
    ]
    # A place takes 17 characters and a comma: 22 of them are 2 + 22 * 18 = 398 with the semicolon.
    assert [len(each.split(",")) // 2 for each in drawn] == [22, 22, 22, 22, 11]


def test_stops_and_blade_angles_are_losses() -> None:
    one, other = line("cut", (1, 2), (3, 4), angle=0.0), line("cut", (1, 2), (3, 4), angle=45.0)
    assert 'write one file per blade angle ("one_file_per": "station")' in losses(one, other)
    assert losses(one, other, pens={"cut": 1, "cut-45deg": 2}) == (
        "HP-GL distinguishes blade angles only by their pens: your machine must stop between pens, "
        "or the blade is not turned."
    )
    inner = losses(SQUARE, SQUARE, stops=(Stop(1, "check", "Look."),))
    assert inner == (
        "HP-GL cannot stop the machine for the operator: the run sheet says after which stroke to "
        "stop it."
    )
    ends = Stop(0, "load-material", "Load."), Stop(2, "check", "Look.")
    assert losses(SQUARE, SQUARE, stops=ends) == ""
    shared = losses(SQUARE, line("score", (1, 2), (3, 4)), pens={"cut": 2})
    assert shared == (
        "HP-GL uses one pen for several operations: the file does not distinguish them."
    )
    assert losses(replace(SQUARE, piece="flag", placement=0)) == (
        "HP-GL files carry no piece names: see the load's picture."
    )


def test_the_resolution_of_settings() -> None:
    """Half a diagonal of the grid, which is 0.025 mm, and chords; arcs round two places."""
    half = 0.025 * math.sqrt(2) / 2
    assert ADAPTER.resolution_for({}) == pytest.approx(half + 0.006)
    assert ADAPTER.resolution_for({"arcs": "AA"}) == pytest.approx(3 * half + 0.001)
    assert ADAPTER.resolution_for({"units_per_mm": 10}) == pytest.approx(4 * half + 0.006)

"""The group codes of DXF files, by hand and without a DXF library.

Source:
    "DXF Reference" for AutoCAD 2000: LWPOLYLINE (90 vertices, 70 bit 1 closed, 42 bulge), CIRCLE,
    LINE, ARC (counter-clockwise, 50 and 51 in degrees), POLYLINE; $INSUNITS 1 inches and 4 mm;
    $MEASUREMENT 0 English and 1 metric.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from adapters.dxf import ADAPTER
from adapters.sample import sample_plan
from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan, Stop, Stroke

#: The bulge of a quarter circle.
QUARTER = math.tan(math.pi / 8)
SQUARE = Stroke(
    "cut", (Vertex(10, 10), Vertex(30, 10), Vertex(30, 20), Vertex(10, 20)), closed=True
)
SCORE = Stroke("score", (Vertex(5, 6), Vertex(7.5, 8.25, 0.5), Vertex(25.4, 12.7)), closed=False)


def plan(*strokes: Stroke, stops: tuple[Stop, ...] = ()) -> CutPlan:
    return replace(sample_plan(), title="", strokes=strokes, stops=stops)


def pairs(made: CutPlan, **settings: object) -> list[tuple[int, str]]:
    lines = ADAPTER.write(made, settings).data.decode("ascii").splitlines()
    return [(int(a), b.strip()) for a, b in zip(lines[::2], lines[1::2], strict=True)]


def entities(made: CutPlan, **settings: object) -> list[tuple[str, list[tuple[int, float]]]]:
    """Return each entity's kind with its layer, and its places, sizes, angles and flags."""
    found = pairs(made, **settings)
    rest = found[found.index((2, "ENTITIES")) + 1 :]
    rows: list[tuple[str, list[tuple[int, float]]]] = []
    for code, value in rest[: rest.index((0, "ENDSEC"))]:
        if code == 0:
            rows.append((value, []))
        elif code == 8:
            rows[-1] = (f"{rows[-1][0]} {value}", rows[-1][1])
        elif code in {10, 20, 11, 21, 40, 50, 51, 70, 90} or (code == 42 and float(value)):
            rows[-1][1].append((code, float(value)))
    return rows


def header(made: CutPlan, **settings: object) -> dict[str, list[str]]:
    found = pairs(made, **settings)
    words: dict[str, list[str]] = {}
    for code, value in found[: found.index((0, "ENDSEC"))]:
        if code == 9:
            words[value] = []
        elif words:
            words[list(words)[-1]].append(value)
    return words


def test_polylines() -> None:
    assert entities(plan(SQUARE, SCORE)) == [
        (
            "LWPOLYLINE cut",
            [(90, 4), (70, 1), (10, 10), (20, 10), (10, 30), (20, 10), (10, 30), (20, 20),
             (10, 10), (20, 20)],
        ),
        (
            "LWPOLYLINE score",
            [(90, 3), (70, 0), (10, 5), (20, 6), (10, 7.5), (20, 8.25), (42, 0.5), (10, 25.4),
             (20, 12.7)],
        ),
    ]  # fmt: skip


def test_polylines_of_r12() -> None:
    rows = entities(plan(SCORE, SQUARE), release="R12")
    assert [row[0].split()[0] for row in rows] == [
        "POLYLINE", *3 * ["VERTEX"], "SEQEND", "POLYLINE", *4 * ["VERTEX"], "SEQEND",
    ]  # fmt: skip
    assert rows[0][0] == "POLYLINE score"
    assert dict(rows[5][1])[70] == 1
    assert (70, 1) not in rows[0][1]
    places = [{code: value for code, value in row[1] if code != 70} for row in rows[1:4]]
    assert places == [{10: 5, 20: 6}, {10: 7.5, 20: 8.25, 42: 0.5}, {10: 25.4, 20: 12.7}]


def test_inches() -> None:
    row = entities(plan(SCORE), units="in")[0][1]
    assert row[-2:] == [(10, 1), (20, 0.5)]
    # 5 mm are 0.1968504 in.
    assert row[2] == (10, 0.19685)
    assert (header(plan(SCORE), units="in")["$INSUNITS"], header(plan(SCORE))["$INSUNITS"]) == (
        ["1"], ["4"],
    )  # fmt: skip
    assert header(plan(SCORE), units="in")["$MEASUREMENT"] == ["0"]
    assert header(plan(SCORE))["$MEASUREMENT"] == ["1"]
    ring = Stroke("cut", (Vertex(50.8, 25.4, 1.0), Vertex(0, 25.4, 1.0)), closed=True)
    assert entities(plan(ring), units="in") == [("CIRCLE cut", [(10, 1), (20, 1), (40, 1)])]


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_circles(sign: float) -> None:
    upright = Stroke("mark", (Vertex(40, 75, sign), Vertex(40, 85, sign)), closed=True)
    assert entities(plan(upright)) == [("CIRCLE mark", [(10, 40), (20, 80), (40, 5)])]
    # Not one: its halves lie on the same side, or it is open.
    for other in (
        replace(upright, vertices=(Vertex(40, 75, sign), Vertex(40, 85, -sign))),
        replace(upright, closed=False),
        replace(upright, vertices=(Vertex(40, 75, sign), Vertex(40, 85, 0.5 * sign))),
        replace(upright, vertices=(*upright.vertices, Vertex(50, 80))),
    ):
        assert entities(plan(other))[0][0] == "LWPOLYLINE mark"


def test_exploded() -> None:
    """A line, then quarters around (40, 10): counter-clockwise, and the same one backwards."""
    there = Stroke("cut", (Vertex(0, 10), Vertex(50, 10, QUARTER), Vertex(40, 20)), closed=False)
    back = Stroke("cut", (Vertex(40, 20, -QUARTER), Vertex(50, 10), Vertex(0, 10)), closed=True)
    quarter = ("ARC cut", [(10, 40), (20, 10), (40, 10), (50, 0), (51, 90)])
    assert entities(plan(there, back), entities="exploded") == [
        ("LINE cut", [(10, 0), (20, 10), (11, 50), (21, 10)]), quarter, quarter,
        ("LINE cut", [(10, 50), (20, 10), (11, 0), (21, 10)]),
        ("LINE cut", [(10, 0), (20, 10), (11, 40), (21, 20)]),
    ]  # fmt: skip
    inch = Stroke("cut", (Vertex(50.8, 25.4, QUARTER), Vertex(25.4, 50.8)), closed=True)
    assert entities(plan(inch), entities="exploded", units="in") == [
        ("ARC cut", [(10, 1), (20, 1), (40, 1), (50, 0), (51, 90)]),
        ("LINE cut", [(10, 1), (20, 2), (11, 2), (21, 1)]),
    ]
    assert ADAPTER.write(plan(there), {"entities": "exploded"}).losses == (
        "DXF exploded: lines and arcs are separate, outlines are not joined.",
    )


def test_a_ring_is_closed_by_a_line_where_it_has_one() -> None:
    half = Stroke("cut", (Vertex(10, 10), Vertex(30, 10, 1.0)), closed=True)
    assert entities(plan(half))[0][1][2:] == [(10, 30), (20, 10), (42, 1), (10, 10), (20, 10)]
    lens = Stroke("cut", (Vertex(10, 10, 0.5), Vertex(30, 10, 0.25)), closed=True)
    assert entities(plan(lens))[0][1][2:] == [
        (10, 10), (20, 10), (42, 0.5), (10, 30), (20, 10), (42, 0.25),
    ]  # fmt: skip
    # An open one keeps its start.
    path = replace(half, closed=False)
    assert entities(plan(path))[0][1][2:6] == [(10, 10), (20, 10), (10, 30), (20, 10)]


def test_numbers_are_plain() -> None:
    """No exponents and no negative zeros; angles and bulges have more decimals than places."""
    odd = Stroke("cut", (Vertex(-0.00001, 1e-9, 1e-7), Vertex(33.33333333, 7)), closed=False)
    data = ADAPTER.write(plan(odd), {}).data.decode("ascii")
    lines = data.splitlines()
    floats = [
        value
        for code, value in zip(lines[::2], lines[1::2], strict=True)
        if 10 <= int(code) < 60 or 210 <= int(code) < 240
    ]
    assert all(re.fullmatch(r"-?\d+\.\d+", each) for each in floats)
    assert not any(re.fullmatch(r"-0\.0+", each) for each in floats)
    assert data.endswith("EOF\n")
    row = entities(plan(odd))[0][1]
    assert row[2:] == [(10, 0), (20, 0), (42, 1e-7), (10, 33.3333), (20, 7)]
    inch = entities(plan(odd), units="in")[0][1]
    # 33.33333333 / 25.4 = 1.3123360 and 7 / 25.4 = 0.2755906.
    assert inch[-2:] == [(10, 1.312336), (20, 0.275591)]
    arc = Stroke("cut", (Vertex(0, 0, 0.3), Vertex(10, 3)), closed=False)
    ((_, row),) = entities(plan(arc), entities="exploded")
    # The centre is off the chord's middle by (1 - 0.3 ** 2) / (4 * 0.3) chords, on the left.
    off = 0.91 / 1.2
    x, y = 5 - off * 3, 1.5 + off * 10
    assert dict(row)[50] == pytest.approx(math.degrees(math.atan2(-y, -x)) % 360 - 360, abs=1e-7)
    assert dict(row)[40] == pytest.approx(math.hypot(x, y), abs=5e-5)


def test_layers_and_comments() -> None:
    made = replace(plan(SQUARE, SCORE), title="Größe ab\n1")
    found = pairs(made, colours={"score": 5})
    names = [at for at, each in enumerate(found) if each == (0, "LAYER")]
    layers = {
        dict(found[at : at + 12])[2]: dict(found[at : at + 12])[62] for at in names
    }  # fmt: skip
    assert (layers["cut"], layers["score"]) == ("1", "5")
    assert found[0] == (999, "title: Gr\\U+00F6\\U+00DFe ab 1")
    assert pairs(made, release="R12", units="in")[:2] == [
        (999, "units: in"), (999, "title: Gr\\U+00F6\\U+00DFe ab 1"),
    ]  # fmt: skip
    assert pairs(plan(SQUARE))[0] == (0, "SECTION")
    # A title has at most 240 characters, and none of its codes is cut through.
    (_, long) = pairs(replace(made, title="x" * 150 + "ö" * 50))[0]
    assert long == "title: " + "x" * 150 + "\\U+00F6" * 12
    assert "$INSUNITS" not in header(made, release="R12")


def test_losses() -> None:
    inner = Stop(1, "check", "Look.")
    assert ADAPTER.write(plan(SQUARE, SCORE), {}).losses == ()
    assert ADAPTER.write(plan(SQUARE, SCORE, stops=(inner,)), {}).losses == (
        "DXF cannot stop the machine: the run sheet says after which stroke to stop it.",
    )
    ends = Stop(0, "load-material", "Load."), Stop(2, "check", "Look.")
    assert ADAPTER.write(plan(SQUARE, SCORE, stops=ends), {}).losses == ()
    angles = replace(SQUARE, angle_deg=0.0), replace(SQUARE, angle_deg=45.0), SCORE
    assert ADAPTER.write(plan(*angles, stops=(inner,)), {}).losses == (
        "DXF cannot stop the machine: each blade angle has its own layer instead.",
    )
    # One blade angle and a stroke without any are not two.
    assert ADAPTER.write(plan(*angles[1:]), {}).losses == ()
    assert ADAPTER.write(plan(replace(SQUARE, piece="a")), {"release": "R12"}).losses == (
        "DXF files carry no piece names: see the load's picture.",
        "DXF R12 does not state its units: import it in millimetres.",
    )
    assert ADAPTER.write(plan(SQUARE), {"release": "R12", "units": "in"}).losses == (
        "DXF R12 does not state its units: import it in inches.",
    )

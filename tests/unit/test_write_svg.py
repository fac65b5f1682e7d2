"""The elements of SVG files, by hand.

Source:
    W3C, "Scalable Vector Graphics (SVG) 1.1 (Second Edition)", 2011, chapters 7 and 8: y points
    down; M, L, A with radii, rotation, large-arc and sweep flags; Z.
"""

from __future__ import annotations

import math
from dataclasses import replace

from adapters.sample import sample_plan
from adapters.svg import ADAPTER
from geometry.model.outline import Operation, Vertex
from geometry.model.plan import CutPlan, Part, Stop, Stroke

#: The bulge of a quarter circle.
QUARTER = math.tan(math.pi / 8)


def plan(*strokes: Stroke, stops: tuple[Stop, ...] = (), title: str = "") -> CutPlan:
    return replace(
        sample_plan(), bed_width=100.0, bed_height=60.5, strokes=strokes, stops=stops, title=title
    )


def line(operation: Operation = "cut", part: Part = "outline", piece: str = "") -> Stroke:
    return Stroke(
        operation, (Vertex(1, 0.5), Vertex(2, 3)), False, part=part, piece=piece,
        placement=4 if piece else None,
    )  # fmt: skip


def written(made: CutPlan, settings: dict[str, object] | None = None) -> list[str]:
    return ADAPTER.write(made, settings or {}).data.decode().splitlines()


def data(*vertices: Vertex, closed: bool = False) -> str:
    (found,) = (
        each for each in written(plan(Stroke("cut", vertices, closed))) if each.startswith("<path")
    )
    return found.partition(' d="')[2].removesuffix('"/>')


def test_a_drawing() -> None:
    assert written(plan(line(), title="Tea & <milk>")) == [
        '<?xml version="1.0" encoding="UTF-8"?>',
        (
            '<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="100mm" height="60.5mm" '
            'viewBox="0 0 100 60.5">'
        ),
        "<title>Tea &amp; &lt;milk&gt;</title>",
        '<g id="cut" fill="none" stroke="#000000" stroke-width="0.1">',
        '<path id="outline" d="M1 60 L2 57.5"/>',
        "</g>",
        "</svg>",
    ]
    assert not any("title" in each for each in written(plan(line())))


def test_path_data() -> None:
    square = Vertex(10, 10), Vertex(30, 10), Vertex(30, 20), Vertex(10, 20)
    assert data(*square, closed=True) == "M10 50.5 L30 50.5 L30 40.5 L10 40.5 Z"
    assert data(*square) == "M10 50.5 L30 50.5 L30 40.5 L10 40.5"
    # With y down, counter-clockwise on the bed is a sweep flag of 0.
    assert data(Vertex(50, 10, QUARTER), Vertex(40, 20)) == "M50 50.5 A10 10 0 0 0 40 40.5"
    assert data(Vertex(40, 20, -QUARTER), Vertex(50, 10)) == "M40 40.5 A10 10 0 0 1 50 50.5"
    # A circle is four quarters, of which the last ends where the first starts.
    assert data(Vertex(50, 10, 1), Vertex(30, 10, 1), closed=True) == (
        "M50 50.5 A10 10 0 0 0 40 40.5 A10 10 0 0 0 30 50.5 A10 10 0 0 0 40 60.5 "
        "A10 10 0 0 0 50 50.5 Z"
    )


def test_groups_and_ids() -> None:
    strokes = (
        line(part="line-up"), line("mark", "mark", "a b"), line("cut", "hole", "a b"),
        line(piece="a b"), line(piece="a b"), line(piece="3x"), line("score"), line(), line(),
        replace(line(), angle_deg=45.0),
    )  # fmt: skip
    lines = written(plan(*strokes))
    found = [each.split('"')[1] for each in lines if each.startswith(("<g", "<path"))]
    assert found == [
        "line-up", "line-up", "mark", "a-b-5-mark", "cut", "a-b-5-hole", "a-b-5", "a-b-5.2",
        "p-3x-5", "score", "outline", "cut-again-2", "outline.2", "outline.3", "cut-45deg",
        "outline.4",
    ]  # fmt: skip
    assert lines.count("</g>") == 6
    colours = [each.split('stroke="')[1][:7] for each in lines if each.startswith("<g")]
    # The line-up cut is a cut: red, yellow, green and cyan in order of first use.
    assert colours == ["#ff0000", "#ffff00", "#ff0000", "#00ff00", "#ff0000", "#00ffff"]


def test_colours_and_widths_that_are_set() -> None:
    settings = {"colours": {"score": "#ABCDEF"}, "widths": {"cut": 0.025}}
    groups = [each for each in written(plan(line(), line("score")), settings) if each[:2] == "<g"]
    assert groups == [
        '<g id="cut" fill="none" stroke="#ff0000" stroke-width="0.025">',
        '<g id="score" fill="none" stroke="#abcdef" stroke-width="0.1">',
    ]


def test_stops_are_descriptions_of_the_strokes_that_follow() -> None:
    stops = (
        Stop(0, "load-material", "Load <card>."), Stop(0, "check", "Look."),
        Stop(2, "change-tool", "Pen."), Stop(3, "check", "End."),
    )  # fmt: skip
    made = plan(line(), line("score"), line("mark"), stops=stops)
    lines = written(made)
    heads = [each for each in lines if not each.startswith(("<path", "</", "<?", "<svg"))]
    assert [each if each.startswith("<desc") else each.split('"')[1] for each in heads] == [
        "cut", "<desc>Load &lt;card&gt;. Look.</desc>", "score", "mark",
        "<desc>Pen. End.</desc>",
    ]  # fmt: skip
    assert ADAPTER.write(made, {}).losses == (
        "SVG cannot stop the machine: its stops are written as descriptions only.",
    )
    ends = replace(made, stops=(stops[0], stops[3]))
    assert ADAPTER.write(ends, {}).losses == ()

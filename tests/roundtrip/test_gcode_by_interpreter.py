"""G-code against its plan, through an interpreter that shares nothing with the adapter."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import pairwise

import pytest

from adapters import registry
from adapters.readback import read_back
from geometry.model.cutter import Tool
from geometry.model.plan import CutPlan
from geometry.model.segments import Arc
from geometry.shapes.catalogue import CATALOGUE
from tests.roundtrip import plans, rs274
from tests.roundtrip import test_shapes_and_tools as shapes
from tests.short_form import SHAPES

KNIFE = {"head": "knife", "depth_mm": -0.5, "score_depth_mm": -0.2, "feed_mm_min": 1200}
HEADS: dict[str, dict[str, object]] = {
    "laser": plans.SETTINGS["gcode"],
    "laser-inch": {**plans.SETTINGS["gcode"], "units": "in"},
    "knife": dict(KNIFE),
    "knife-inch": {**KNIFE, "units": "in", "arc_centres": "G91.1"},
}


def written(plan: CutPlan, head: str = "laser") -> str:
    return registry.get("gcode").write(plan, HEADS[head]).data.decode("ascii")


def contacts(events: list[rs274.Move | rs274.Halt]) -> list[list[rs274.Move]]:
    paths: dict[int, list[rs274.Move]] = {}
    for event in events:
        if isinstance(event, rs274.Move) and event.contact:
            paths.setdefault(event.contact, []).append(event)
    return list(paths.values())


def signed_area(path: list[rs274.Move]) -> float:
    total = 0.0
    for move in path:
        (ax, ay, _), (bx, by, _) = move.start, move.end
        total += 0.5 * (ax * by - bx * ay)
        if move.centre is not None:
            radius = math.dist(move.start[:2], move.centre)
            total += 0.5 * radius**2 * (move.sweep - math.sin(move.sweep))
    return total


def letters(text: str) -> str:
    return "".join(re.findall(r"[a-z0-9]", text.lower()))


def assert_holds(text: str, plan: CutPlan) -> None:
    """Assert that a program is the plan's strokes and stops, in order, and nothing else."""
    events = rs274.interpret(text)
    paths = contacts(events)
    assert len(paths) == len(plan.strokes)
    for path, stroke in zip(paths, plan.strokes, strict=True):
        assert all(one.end == two.start for one, two in pairwise(path))
        left = list(path)
        for part in stroke.segments:
            # A wide arc may be written as equal arcs one after another.
            moves = [left.pop(0)]
            while isinstance(part, Arc) and math.dist(moves[-1].end[:2], part.end) > 0.001:
                moves.append(left.pop(0))
            assert math.dist(moves[0].start[:2], part.start) <= 0.001
            assert math.dist(moves[-1].end[:2], part.end) <= 0.001
            for place, move in enumerate(moves):
                assert move.feed == pytest.approx(1200.0, abs=0.1)
                if isinstance(part, Arc):
                    assert move.centre is not None
                    # Rounded ends, a step of 0.00025 mm in inch words, turn a short arc's radius;
                    # the arc itself, below, may not leave the plan's by more for that.
                    turned = 0.00025 * part.radius / part.length
                    assert math.dist(move.centre, part.centre) <= 0.002 + turned
                    assert move.clockwise == (part.bulge < 0)
                for step in range(17):
                    exact = part.point_at((place + step / 16) / len(moves))
                    assert math.dist(move.at(step / 16), exact) <= 0.002
        assert not left
    assert not any(isinstance(e, rs274.Move) and e.rapid and e.contact for e in events)
    halts = [event for event in events if isinstance(event, rs274.Halt)]
    assert len(halts) == len(plan.stops)
    for halt, stop in zip(halts, plan.stops, strict=True):
        assert (halt.tool_on, halt.after_contact) == (False, stop.before_stroke)
        assert letters(stop.message) in letters("".join(halt.comments))


#: Some shapes by every tool and with every head, not all of them together; the rest is a long run.
SHAPES_TOOLS_AND_HEADS = [
    pytest.param(
        kind,
        tool,
        head,
        id=f"{kind}-{tool.kind}-{head}",
        marks=() if kind in SHAPES and (a + b + c) % 2 == 0 else pytest.mark.long,
    )
    for a, kind in enumerate(CATALOGUE)
    for b, tool in enumerate(shapes.TOOLS)
    for c, head in enumerate(HEADS)
]


@pytest.mark.parametrize(("kind", "tool", "head"), SHAPES_TOOLS_AND_HEADS)
def test_every_shape_by_every_tool(kind: str, tool: Tool, head: str) -> None:
    plan = shapes.placed(kind, tool)
    assert_holds(written(plan, head), plan)


@pytest.mark.parametrize("head", HEADS)
def test_marks_scores_and_the_flag_s_area(head: str) -> None:
    plan = plans.plan()
    text = written(plan, head)
    assert_holds(text, plan)
    paths = contacts(rs274.interpret(text))
    for path, stroke in zip(paths, plan.strokes, strict=True):
        if stroke.piece == "flag" and stroke.closed:
            assert signed_area(path) == pytest.approx(plans.FLAG_AREA, abs=0.05)


#: Each takes a whole line of the program; the first that matches is changed.
MUTATIONS = {
    "direction": (r"^G3", "G2"),
    "coordinate": (r"^G1 X230.0 Y132.0$", "G1 X230.0 Y132.05"),
    "corner": (r"^G1 X200.0 Y140.0$", "G1 X200.05 Y140.0"),
    "line": (r"^G1 X200.0 Y125.0\n", ""),
    "stop": (r"^M0\n", ""),
    "lift": (r"(?<=Y120.0\n)M5\n", ""),
    "inch": (r"G21", "G20"),
}


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_changed_program_is_seen(name: str) -> None:
    plan = plans.plan()
    text = written(plan)
    changed = re.sub(*MUTATIONS[name], text, count=1, flags=re.MULTILINE)
    assert changed != text
    with pytest.raises((AssertionError, rs274.GCodeError)):
        assert_holds(changed, plan)


HEAD = "G17 G21 G90 G94\nF100\n"


FAULTS = {
    "two words": "G0 G1 X1|M3 M5|G20 G21",
    "doubled": "G1 X1 X2|G1 X1 N5",
    "unknown word": "G1 Q1|G2 X1 R1",
    "unknown code": "G18|M6",
    "not made of words": "G1 X1 (open|G1 X|G1 X#1",
    "radii differ": "G3 X2 Y0 I1.01 J0",
    "I or J": "G3 X2|G1 X1 I1",
    "no axis words": "G1",
    "group motion": "X1",
    "no feed": "F0\nG1 X1",
    "units change": "G20 X1",
    "needs P": "G4|P1",
    "after the program's end": "M2\nG0 X1",
}


@pytest.mark.parametrize("fault", FAULTS)
def test_faulty_programs_are_refused(fault: str) -> None:
    for body in FAULTS[fault].split("|"):
        with pytest.raises(rs274.GCodeError, match=fault):
            rs274.interpret(f"{HEAD}{body}\nM2")
    with pytest.raises(rs274.GCodeError, match="no end"):
        rs274.interpret(HEAD)


def test_relative_inch_words_and_a_whole_circle() -> None:
    text = "%\nn1 g17 g20 g91 g94 ; inch\nG0X1Y.5\nM4S1\nG2 X0 I-.5 F10\nG4 P0.5\nM5\n(a) M0\n%"
    rapid, circle, halt = rs274.interpret(text)
    assert isinstance(rapid, rs274.Move)
    assert (rapid.contact, rapid.end[:2]) == (0, (25.4, 12.7))
    assert isinstance(circle, rs274.Move)
    assert circle.feed == 254.0
    assert signed_area([circle]) == pytest.approx(-math.pi * 12.7**2)
    assert halt == rs274.Halt(("a",), False, 1)


def test_the_word_for_arc_centres_stands_where_no_reader_stumbles() -> None:
    lines = written(plans.plan(), "knife-inch").splitlines()
    # Between the file's start and its first word stand comments alone.
    stated = [lines[0], *(line for line in lines[1:] if not line.startswith("("))]
    # A reader that drops the decimals is brought back to absolute places at once.
    assert stated[1:3] == ["G91.1", "G17 G20 G40 G90 G94"]
    assert "G91" not in written(plans.plan(), "knife")


@pytest.mark.parametrize("name", ["cut", "mark", "score", "cut-45deg", "mark-1"])
def test_pieces_called_like_operations(name: str) -> None:
    plan = plans.plan()
    strokes = tuple(replace(stroke, piece=name, placement=0) for stroke in plan.strokes)
    named = replace(plan, strokes=strokes)
    for head, settings in HEADS.items():
        data = written(named, head).encode()
        assert read_back("gcode", data, named, settings) is not None

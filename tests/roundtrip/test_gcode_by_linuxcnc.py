"""G-code run by LinuxCNC's own interpreter, ``rs274``, which prints the canonical moves.

Source:
    T. Kramer, F. Proctor, E. Messina, NISTIR 6556: canonical machining functions (STRAIGHT_FEED,
    ARC_FEED with end, centre and rotation), as LinuxCNC's interpreter calls them.
"""

from __future__ import annotations

import math
import re
import subprocess
from pathlib import Path

import pytest

from adapters import registry
from adapters.readers.strokes import ReadSegment, ReadStroke
from adapters.sample import sample_plan
from adapters.stroke_faults import fault_of
from geometry.model.plan import CutPlan
from geometry.model.points import Point
from tests.roundtrip import every, plans
from tests.roundtrip.outside import needs

KNIFE = {"head": "knife", "depth_mm": -0.5, "score_depth_mm": -0.2, "feed_mm_min": 1200}
HEADS: dict[str, dict[str, object]] = {
    "laser": plans.SETTINGS["gcode"],
    "knife": dict(KNIFE),
    "knife-inch": {**KNIFE, "units": "in", "arc_centres": "G91.1"},
    "chords": {**plans.SETTINGS["gcode"], "arcs": "chords"},
}
#: It prints four decimals: 0.00005 in, of an arc's end and centre, is 0.004 mm along it at most.
PRINTED_MM, PRINTED_IN = 1.0e-3, 6.0e-3
CALL = re.compile(r"([A-Z_]+)\((.*)\)")


def carried_out(program: bytes, folder: Path) -> list[ReadStroke]:
    """Return what the interpreter does with the tool in the material, mm."""
    (folder / "plan.ngc").write_bytes(program)
    (folder / "tools").touch()
    command = [needs("rs274"), "-t", "tools", "-v", "parameters", "-g", "plan.ngc", "moves"]
    subprocess.run(command, cwd=folder, check=True, timeout=600, capture_output=True)
    unit, at, spins = 1.0, Point(0.0, 0.0), False
    done: list[list[ReadSegment]] = []
    starts: list[Point] = []
    is_down = False
    for line in (folder / "moves").read_text().splitlines():
        call = CALL.search(line)
        if call is None or call[1] in {"COMMENT", "MESSAGE"}:
            continue
        name, numbers = call[1], call[2].split(", ")
        if name == "USE_LENGTH_UNITS":
            unit = 25.4 if "INCHES" in call[2] else 1.0
        elif name in {"START_SPINDLE_CLOCKWISE", "STOP_SPINDLE_TURNING"}:
            spins = name.startswith("START")
            is_down = False
        elif name in {"STRAIGHT_TRAVERSE", "STRAIGHT_FEED"}:
            x, y, z = (unit * float(each) for each in numbers[:3])
            end, cuts = Point(x, y), name == "STRAIGHT_FEED" and (spins or z < 0.0)
            if cuts and end != at:
                middle = Point((at.x + x) / 2.0, (at.y + y) / 2.0)
                _add(starts, done, at, ReadSegment(middle, end), goes_on=is_down)
            elif name == "STRAIGHT_TRAVERSE":
                assert not spins, "a rapid move with the beam on"
            is_down = cuts and (end != at or is_down)
            at = end
        elif name == "ARC_FEED":
            x, y, cx, cy = (unit * float(each) for each in numbers[:4])
            end, centre, turns = Point(x, y), Point(cx, cy), int(numbers[4])
            assert abs(turns) == 1
            middle = _middle(at, end, centre, ccw=turns > 0)
            _add(starts, done, at, ReadSegment(middle, end), goes_on=is_down)
            is_down, at = True, end
    return [
        ReadStroke(first, tuple(parts), math.dist(first, parts[-1].end) < PRINTED_IN, "")
        for first, parts in zip(starts, done, strict=True)
    ]


def _add(
    starts: list[Point],
    done: list[list[ReadSegment]],
    at: Point,
    part: ReadSegment,
    *,
    goes_on: bool,
) -> None:
    if not goes_on:
        starts.append(at)
        done.append([])
    done[-1].append(part)


def _middle(start: Point, end: Point, centre: Point, *, ccw: bool) -> Point:
    first = math.atan2(start.y - centre.y, start.x - centre.x)
    last = math.atan2(end.y - centre.y, end.x - centre.x)
    turn = (last - first) % math.tau
    half = first + (turn if ccw else turn - math.tau) / 2.0
    radius = math.dist(start, centre)
    return Point(centre.x + radius * math.cos(half), centre.y + radius * math.sin(half))


@pytest.mark.linuxcnc
@pytest.mark.parametrize("head", HEADS)
@pytest.mark.parametrize("tool", ["sample", "pen", "laser", "drag_blade"])
def test_the_interpreter_of_a_machine_cuts_the_plan(tool: str, head: str, tmp_path: Path) -> None:
    plan: CutPlan = sample_plan() if tool == "sample" else every.load(tool)
    settings = HEADS[head]
    data = registry.write("gcode", plan, settings).data
    allowed = PRINTED_IN if settings.get("units") == "in" else PRINTED_MM
    allowed += 0.005 if settings.get("arcs") == "chords" else 0.0
    fault = fault_of(carried_out(data, tmp_path), plan, allowed)
    assert not fault, fault

"""Plans for round trips: lines, arcs, a circle, and the `flag` that no symmetry can hide."""

from __future__ import annotations

import math

from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.plan import CutPlan, Stop, Stroke
from geometry.model.transform import moved
from geometry.offset.allowance import make_patch
from geometry.shapes.catalogue import build

QUARTER = math.tan(math.pi / 8)

#: 30 x 20 rectangle, one corner round (r = 8), the opposite one notched 5 x 5.
FLAG = Outline.of(
    [(5, 0), (30, 0), (30, 12, QUARTER), (22, 20), (0, 20), (0, 5), (5, 5)],
)
FLAG_AREA = 561.265482
FLAG_LENGTH = 96.566371


#: Settings without which a format refuses: they are facts of a machine.
SETTINGS: dict[str, dict[str, object]] = {
    "gcode": {"head": "laser", "power": 300, "score_power": 60, "feed_mm_min": 1200},
    "hpgl": {"wide": True},
}


def pieces() -> dict[str, Outline]:
    """Return outlines in places of their own on a 300 x 200 bed."""
    return {
        "hex": moved(build("hexagon", {"side": 25.4}), 40, 40),
        "clam": moved(build("clamshell", {"width": 50.8}), 110, 50),
        "patch": moved(make_patch(build("clamshell", {"width": 50.8}), 6.35).outline, 60, 140),
        "flag": moved(FLAG, 160, 30),
        "core": moved(build("apple_core", {"length": 60.0}), 150, 140),
        "hole": moved(build("circle", {"diameter": 6.35}), 230, 60),
    }


def plan(outlines: dict[str, Outline] | None = None) -> CutPlan:
    """Return a plan that cuts them in order, with a score and a mark of the flag first."""
    outlines = pieces() if outlines is None else outlines
    strokes = [
        Stroke(
            "mark", moved(FLAG, 200, 120).vertices, True, part="mark", piece="flag", placement=0
        ),
        Stroke(
            "score",
            ((*moved(FLAG, 250, 120).vertices[:3],)),
            False,
            part="mark",
            piece="flag",
            placement=0,
        ),
    ]
    strokes.extend(
        Stroke("cut", outline.vertices, True, piece=name, placement=number)
        for number, (name, outline) in enumerate(outlines.items())
    )
    return CutPlan(
        "Round trip",
        300.0,
        200.0,
        WorkArea.rectangle(0, 0, 300, 200),
        tuple(strokes),
        (Stop(0, "load-material", "Load card in the lower left corner."),),
    )

"""A tool's head stays inside the opening and off its keep-outs, in beds of every shape.

The head is placed about many places along every stroke of the ``plan`` files, compensation
included, and looked at with shapely alone: openings and heads are built here from their own
formulas, not taken from the answer.
"""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from service.errors import RequestError
from service.tools.built_in import BUILT_IN
from tests.requested import kit
from tests.short_form import short_form

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester

Points = NDArray[np.float64]
#: What the margins hold to, mm.
WITHIN = 0.01
#: Places along a stroke are no farther apart than this, mm.
STEP = 0.5
TOOLS: list[dict[str, Any]] = [
    {"kind": "drag_blade", "offset": 0.5},
    {"kind": "indexed_blade", "positions_deg": [0, 60, 120], "blade_width": 2, "step": 1},
    {"kind": "laser", "kerf": 0.4},
    {"kind": "steel_rule_die"},
    {"kind": "pen"},
]
L_SHAPE = [[0, 0], [180, 0], [180, 60], [90, 60], [90, 140], [0, 140]]
HEXAGON = [[50, 0], [150, 0], [200, 70], [150, 140], [50, 140], [0, 70]]
BEDS: dict[str, dict[str, Any]] = {
    "ellipse": {"shape": "ellipse", "width": 200, "height": 140},
    "rounded": {"shape": "rounded", "width": 180, "height": 120, "radius": 45},
    "hexagon": {"shape": "polygon", "width": 200, "height": 140, "points": HEXAGON},
    "concave": {"shape": "polygon", "width": 180, "height": 140, "points": L_SHAPE},
    "keep-outs": {
        "shape": "ellipse",
        "width": 220,
        "height": 160,
        # The second is hollow: the head must stay out of its notch as well.
        "keep_out": [
            [[100, 70], [120, 70], [110, 95]],
            [[150, 60], [170, 60], [170, 90], [160, 70], [150, 90]],
        ],
    },
}
UNEQUAL: dict[str, float] = {"left": 4, "right": 11, "top": 7, "bottom": 16}


def opening_of(bed: dict[str, Any]) -> shapely.Polygon:
    """Return the opening from its own formula, far finer than what is checked."""
    width, height = bed["width"], bed["height"]
    if bed.get("shape") == "ellipse":
        t = np.linspace(0.0, math.tau, 20_000, endpoint=False)
        return shapely.Polygon(
            np.column_stack([width / 2 * (1 + np.cos(t)), height / 2 * (1 + np.sin(t))])
        )
    if bed.get("shape") == "rounded":
        radius = bed["radius"]
        core = shapely.box(radius, radius, width - radius, height - radius)
        return core.buffer(radius, quad_segs=4000)
    return shapely.Polygon(bed["points"]) if "points" in bed else shapely.box(0, 0, width, height)


def head_of(margins: dict[str, float], head: str) -> Points:
    """Return points on the head's rim about the axis."""
    t = np.linspace(0.0, math.tau, 361)[:-1]
    x, y = np.cos(t), np.sin(t)
    if head == "rectangle":
        most = np.maximum(np.abs(x), np.abs(y))
        x, y = x / most, y / most
    return np.column_stack(
        [
            x * np.where(x > 0, margins["right"], margins["left"]),
            y * np.where(y > 0, margins["top"], margins["bottom"]),
        ]
    )


def along(stroke: dict[str, Any]) -> Points:
    """Return places along a stroke of a plan, arcs by their bulges."""
    rows = stroke["points"]
    ends = [*rows[1:], rows[0]] if stroke["closed"] else rows[1:]
    found: list[Points] = []
    for (x, y, bulge), (x2, y2, _) in zip(rows, ends, strict=False):
        a, b = np.array([x, y]), np.array([x2, y2])
        chord = float(np.hypot(*(b - a)))
        count = max(2, math.ceil(chord * (1 + abs(bulge)) / STEP) + 1)
        share = np.linspace(0.0, 1.0, count)[:, None]
        if not bulge:
            found.append(a + share * (b - a))
            continue
        # Bulge is the tangent of a quarter of the sweep.
        sweep = 4 * math.atan(bulge)
        left = np.array([-(b - a)[1], (b - a)[0]])
        centre = (a + b) / 2 + left * (1 - bulge**2) / (4 * bulge)
        angle = sweep * share
        arm = a - centre
        found.append(centre + np.cos(angle) * arm + np.sin(angle) * np.array([-arm[1], arm[0]]))
    return np.concatenate(found)


def cut(body: dict[str, Any]) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Return a kit's answer and files."""
    made = kit(body, BUILT_IN.get)
    return dict(made.answer), dict(made.files)


def strokes_of(run: dict[str, Any], files: dict[str, bytes]) -> list[dict[str, Any]]:
    """Return all strokes of a run's plans."""
    named = [file for load in run["loads"] for file in load["files"] if file["format"] == "plan"]
    assert named
    return [s for file in named for s in json.loads(files[file["name"]])["strokes"]]


def assert_clear(
    places: Points, rim: Points, opening: shapely.Polygon, keep_outs: list[shapely.Polygon]
) -> None:
    """Place the head everywhere: none of it outside, none of it in a keep-out."""
    heads = (places[:, None, :] + rim[None, :, :]).reshape(-1, 2)
    allowed = opening.buffer(WITHIN)
    shapely.prepare(allowed)
    inside = shapely.contains_xy(allowed, heads[:, 0], heads[:, 1])
    worst = shapely.distance(opening, shapely.points(heads[~inside][:2000])) if len(heads) else 0
    assert inside.all(), f"the head reaches {np.max(worst):.3f} mm out of the opening"
    body = shapely.Polygon(rim).buffer(-WITHIN)
    shapely.prepare(body)
    for keep_out in keep_outs:
        barred = keep_out.buffer(-WITHIN)
        shapely.prepare(barred)
        assert not shapely.contains_xy(barred, heads[:, 0], heads[:, 1]).any()
        edge = shapely.get_coordinates(keep_out.exterior.segmentize(0.5))
        for place in places:
            moved = edge - place
            assert not shapely.contains_xy(body, moved[:, 0], moved[:, 1]).any()


def body_of(bed: dict[str, Any], margins: dict[str, float], head: str) -> dict[str, Any]:
    tools = TOOLS if head == "round" else TOOLS[:3]
    cutters = [{"tool": tool, "bed": bed, "margins": margins, "head": head} for tool in tools]
    return {
        "title": "Breakwater hoops",
        "units": "mm",
        "documents": [],
        "pieces": [
            {"id": "H", "shape": {"kind": "hexagon", "side": 9}, "quantity": 5},
            {"id": "C", "shape": {"kind": "circle", "diameter": 21}, "quantity": 2},
        ],
        "runs": [
            {
                "cut": "template",
                "cutter": cutter,
                "formats": ["plan"],
                "effort": "quick",
                "material": {"name": "card", "kind": "card"},
            }
            for cutter in cutters
        ],
    }


#: Every bed, with both heads.
SHORT = {
    ("rounded", "rectangle"), ("hexagon", "round"), ("concave", "rectangle"),
    ("keep-outs", "rectangle"),
}  # fmt: skip
BED_AND_HEAD = [(name, head) for name in BEDS for head in ("round", "rectangle")]


@pytest.mark.parametrize(("name", "head"), short_form(BED_AND_HEAD, SHORT))
def test_the_head_stays_inside(name: str, head: str) -> None:
    """Unequal margins, every tool, every stroke: the rule itself, nothing of the answer's areas."""
    bed = BEDS[name]
    answer, files = cut(body_of(bed, UNEQUAL, head))
    rim, opening = head_of(UNEQUAL, head), opening_of(bed)
    keep_outs = [shapely.Polygon(points) for points in bed.get("keep_out", [])]
    for run in answer["runs"]:
        strokes = strokes_of(run, files)
        assert run["totals"]["H"]["made"] >= 5
        places = np.concatenate([along(stroke) for stroke in strokes])
        assert_clear(places, rim, opening, keep_outs)


def test_the_check_itself_can_fail() -> None:
    """A needle 10 mm from the left end of the ellipse with a head that reaches 4 mm to its left is
    clear; 3 mm from it the head is 1 mm outside."""
    rim = head_of({"left": 4, "right": 4, "top": 4, "bottom": 4}, "round")
    opening = opening_of(BEDS["ellipse"])
    assert_clear(np.array([[10.0, 70.0]]), rim, opening, [])
    with pytest.raises(AssertionError, match=r"reaches 1\.0"):
        assert_clear(np.array([[3.0, 70.0]]), rim, opening, [])


TRIAL_OVAL: dict[str, Any] = {
    "title": "Oval hoop, 3 layers, 1 in hexagons 3/8",
    "units": "in",
    "documents": [],
    "pieces": [
        {
            "id": "H",
            "shape": {"kind": "hexagon", "side": "1"},
            "quantity": 60,
            "seam_allowance": "3/8",
            "grain": "half-turn",
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "layers": 3,
            "formats": ["plan"],
            "effort": "quick",
            "cutter": {
                "tool": {
                    "kind": "indexed_blade",
                    "positions_deg": [0, 45, 90, 135],
                    "blade_width": "0.8 mm",
                    "step": "0.3 mm",
                },
                "bed": {"shape": "ellipse", "width": "200 mm", "height": "140 mm"},
                "margins": {"left": "5 mm", "right": "5 mm", "top": "5 mm", "bottom": "5 mm"},
            },
            "material": {"name": "quilting cotton", "kind": "fabric"},
            "ties": {"count": 1, "width": "0.5 mm"},
        }
    ],
}


def test_an_oval_hoop_keeps_five_millimetres() -> None:
    """Hoop 200 x 140 mm, margins 5 mm on every side: each point of each stroke lies at least 5 mm
    from the ellipse (x - 100)^2 / 100^2 + (y - 70)^2 / 70^2 = 1.

    Once a cut lay 0.4 mm from the rim. 60 patches in 3 layers are 20 outlines. A patch, level
    sides up and down as its grain wants it, is 2 x (25.4 x sin 60 + 9.525) = 63.05 mm high and
    72.80 mm wide, its level sides 36.4 mm long. The tightest four are a diamond: two above each
    other 2 mm apart, so that their level sides lie 63.05 + 1 = 64.05 mm off the middle and end
    18.2 mm beside it, one more at each side. 5 mm inside the ellipse is 63.78 mm up there: the
    four are 0.27 mm too high. So 3 per load, and 20 outlines take 7 loads.
    """
    answer, files = cut(TRIAL_OVAL)
    run = answer["runs"][0]
    rim = opening_of(BEDS["ellipse"]).exterior
    nearest = min(
        float(shapely.distance(rim, shapely.points(along(stroke))).min())
        for stroke in strokes_of(run, files)
    )
    assert nearest >= 5.0 - WITHIN
    assert run["totals"]["H"]["made"] == 60
    assert sum(load["repeats"] for load in run["loads"]) == 7


@pytest.mark.parametrize(
    ("bed", "box"),
    [
        # 10 mm within each extreme of the ellipse: 280 by 180.
        pytest.param(
            {"shape": "ellipse", "width": 300, "height": 200},
            (10, 10, 280, 180),
            marks=pytest.mark.long,
        ),
        # Arcs of radius 60 become arcs of radius 50 about the same centres.
        pytest.param(
            {"shape": "rounded", "width": 300, "height": 200, "radius": 60},
            (10, 10, 280, 180),
            marks=pytest.mark.long,
        ),
        # Slanted sides rise 100 over 75: their tips draw in by 10 / (100 / 125) = 12.5 mm.
        (
            {
                "shape": "polygon",
                "width": 300,
                "height": 200,
                "points": [[75, 0], [225, 0], [300, 100], [225, 200], [75, 200], [0, 100]],
            },
            (12.5, 10, 275, 180),
        ),
    ],
)
def test_the_trials_squares(bed: dict[str, Any], box: tuple[float, ...]) -> None:
    """Squares of 18 mm 0.5 mm apart under a beam of no width, 10 mm off every side: each corner of
    each square is a stroke's point and lies at least 10 mm inside the opening's own edge."""
    ten = dict.fromkeys(("left", "right", "top", "bottom"), 10)
    body = {
        "units": "mm",
        "documents": [],
        "pieces": [
            {
                "id": "S",
                "shape": {"kind": "square", "side": 18},
                "quantity": 100,
                "grain": "fixed",
            }
        ],
        "runs": [
            {
                "cut": "patch",
                "cutter": {"tool": {"kind": "laser", "kerf": 0}, "bed": bed, "margins": ten},
                "formats": ["plan"],
                "material": {"name": "cotton", "kind": "fabric"},
                "effort": "quick",
                "gap": 0.5,
            }
        ],
    }
    answer, files = cut(body)
    run = answer["runs"][0]
    area = run["work_area"]
    found = (area["x_mm"], area["y_mm"], area["width_mm"], area["height_mm"])
    assert found == pytest.approx(box, abs=WITHIN)
    edge = opening_of(bed).exterior
    for stroke in strokes_of(run, files):
        assert shapely.distance(edge, shapely.points(along(stroke))).min() >= 10 - WITHIN
    assert run["totals"]["S"]["made"] == 100


def test_a_head_too_large_for_its_opening_is_refused() -> None:
    """An ellipse 40 mm high has no place for a head that reaches 19 mm up and 19 mm down and as
    far to the sides, but at its very middle; 20 mm leave nothing."""
    body = body_of(
        {"shape": "ellipse", "width": 200, "height": 40},
        {"left": 60, "right": 60, "top": 19.9, "bottom": 19.9},
        "rectangle",
    )
    with pytest.raises(RequestError) as caught:
        kit(body, BUILT_IN.get)
    faults = caught.value.errors
    assert {fault.pointer for fault in faults} >= {"#/runs/0/cutter/margins"}
    assert all("leave nothing" in fault.detail for fault in faults)


def test_a_waist_narrower_than_the_head_is_told() -> None:
    """Two fields 80 mm wide joined by a neck 10 mm high: a head 12 mm high does not pass. The
    larger field is used as far as sqrt(6^2 - 5^2) = 3.3 mm before the neck, at 80 - 3.3 = 76.7 mm,
    and the run says that part of the opening is not."""
    points = [
        [0, 0], [80, 0], [80, 45], [100, 45], [100, 10], [180, 10],
        [180, 90], [100, 90], [100, 55], [80, 55], [80, 100], [0, 100],
    ]  # fmt: skip
    bed = {"shape": "polygon", "width": 180, "height": 100, "points": points}
    six = dict.fromkeys(("left", "right", "top", "bottom"), 6.0)
    body = body_of(bed, six, "round")
    body["runs"] = body["runs"][-1:]
    answer, files = cut(body)
    places = np.concatenate([along(s) for s in strokes_of(answer["runs"][0], files)])
    assert places[:, 0].max() <= 76.69 + WITHIN
    assert any("largest part" in warning for warning in answer["warnings"])

"""A quilt of each tiling keeps to its size within a row or column, or a warning says so."""

from __future__ import annotations

from typing import Any

import pytest

from geometry.planning.tilings import TILINGS
from service.quilts.top import QuiltTop, quilt_top, size_warnings
from service.requests.quilt_plans import QuiltPlanRequestSchema
from service.requests.quilt_spec import QuiltSpec
from service.schemas.loading import load

SIZES = {"side": "2 in", "width": "4 in", "height": "3 in", "length": "5 in"}
#: A cot, a lap and a bed, in.
QUILTS = [("36", "46"), ("50", "60"), ("84", "92")]
#: A step of each tiling along its longer axis, in sides, widths, heights or lengths; by hand.
STEPS_IN = {
    "square": 2,
    "rectangle": 4,
    "octagon_square": 4.83,
    "eight_point_star": 6.83,
    "lone_star": 13.66,
    "lone_star_with_stars": 13.66,
    "six_point_lone_star": 13.86,
    "apple_core": 3.54,
    "triangle": 2,
    "hexagon": 3.47,
    "diamond_60": 2,
    "diamond_45": 1.85,
    "tumbling_blocks": 3.47,
    "half_hexagon": 3,
    "hexagon_triangle": 3.47,
    "kite": 3.47,
    "six_point_star": 6,
    "clamshell": 4,
    "hexagon_flower": 3.47,
}


def planned(tiling: str, size: tuple[str, str], **more: Any) -> tuple[QuiltSpec, QuiltTop]:
    """Return the specification and the top of a quilt."""
    body = {
        "units": "in",
        "tiling": tiling,
        **{name: SIZES[name] for name in TILINGS[tiling].sizes},
        **({"diamonds": 2} if "diamonds" in TILINGS[tiling].counts else {}),
        "quilt": {"width": size[0], "length": size[1]},
        **more,
    }
    spec = load(QuiltPlanRequestSchema(), body)
    return spec, quilt_top(spec)


def measured(top: QuiltTop) -> tuple[float, float]:
    """Return the size of a quilt from the corners of its pieces, mm."""
    boxes = [top.assembly.outline(piece).bounds for piece in top.assembly.placed]
    boxes += [part.outline.bounds for border in top.borders for part in border.parts]
    return (
        max(box.right for box in boxes) - min(box.left for box in boxes),
        max(box.top for box in boxes) - min(box.bottom for box in boxes),
    )


@pytest.mark.parametrize("tiling", STEPS_IN)
@pytest.mark.parametrize("size", QUILTS)
@pytest.mark.parametrize("fit", ["larger", "smaller", "nearest"])
def test_within_one_step(tiling: str, size: tuple[str, str], fit: str) -> None:
    edge = "filled" if size == QUILTS[1] else "whole"
    spec, top = planned(tiling, size, fit=fit, edge=edge)
    found, step = measured(top), STEPS_IN[tiling] * 25.4
    warnings = list(size_warnings(spec, top))
    asked = [float(each) * 25.4 for each in size]
    off = [is_size - wanted for is_size, wanted in zip(found, asked, strict=True)]
    share = {"larger": 1.0, "smaller": 1.0, "nearest": 0.5}[fit]
    assert all(abs(each) <= share * step + 0.01 for each in off)
    if fit != "nearest":
        sign = 1 if fit == "larger" else -1
        assert all(sign * each >= -1e-6 for each in off)
    far = [abs(each) > 0.02 * wanted for each, wanted in zip(off, asked, strict=True)]
    assert len(warnings) == sum(far)


@pytest.mark.parametrize("tiling", STEPS_IN)
@pytest.mark.parametrize("size", QUILTS)
def test_borders_make_up_the_rest(tiling: str, size: tuple[str, str]) -> None:
    spec, top = planned(tiling, size, fit="borders", borders=[{"corners": "cornerstones"}])
    assert measured(top) == pytest.approx([float(each) * 25.4 for each in size])
    (border,) = top.borders
    most = (STEPS_IN[tiling] / 2.0 + 1.0) * 25.4 + 0.01
    assert 25.4 - 1e-6 <= border.sides_width <= most
    assert 25.4 - 1e-6 <= border.ends_width <= most
    assert list(size_warnings(spec, top)) == []


def test_every_tiling_is_measured_here() -> None:
    assert set(STEPS_IN) == set(TILINGS)

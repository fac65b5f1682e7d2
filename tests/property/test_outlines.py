"""What must hold for every outline, whatever its size, turn or direction."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.measure import area, centroid, corner_turns, perimeter
from geometry.model.outline import Outline
from geometry.model.segments import Arc
from geometry.model.transform import Rigid, scaled
from geometry.offset.allowance import Corners, make_patch
from geometry.proof.allowance import measure_allowance
from geometry.tolerance import SMOOTH_TURN
from geometry.validate import require_simple
from tests.property import strategies

COMMON = settings(max_examples=60, deadline=None, derandomize=True)


@COMMON
@given(strategies.outlines)
def test_reversed_twice_is_itself_and_negates_area(outline: Outline) -> None:
    assert outline.reversed().reversed() == outline
    assert area(outline.reversed()) == pytest.approx(-area(outline), rel=1e-12)
    assert perimeter(outline.reversed()) == pytest.approx(perimeter(outline), rel=1e-12)
    assert require_simple(outline.reversed()) == outline


@COMMON
@given(strategies.outlines, st.floats(0, 360), st.floats(-500, 500), st.booleans())
def test_moving_changes_nothing_but_the_place(
    outline: Outline, turn: float, away: float, mirrored: bool
) -> None:
    moved = Rigid(turn, away, -away, mirrored).outline(outline)
    assert area(moved) == pytest.approx(area(outline), rel=1e-9)
    assert perimeter(moved) == pytest.approx(perimeter(outline), rel=1e-9)
    turns = sorted(corner_turns(outline))
    assert sorted(corner_turns(moved)) == pytest.approx(turns, abs=1e-6)


@COMMON
@given(strategies.outlines, st.sampled_from([1e-3, 1e3]))
def test_scaling_scales(outline: Outline, factor: float) -> None:
    grown = scaled(outline, factor)
    assert area(grown) == pytest.approx(area(outline) * factor**2, rel=1e-12)
    assert perimeter(grown) == pytest.approx(perimeter(outline) * factor, rel=1e-12)
    assert centroid(grown).x == pytest.approx(
        centroid(outline).x * factor, abs=1e-9 * factor * perimeter(outline)
    )


@COMMON
@given(strategies.outlines, st.floats(0.5, 9.5))
def test_area_balance_where_every_corner_is_mitred(outline: Outline, allowance: float) -> None:
    """Patch area is A + a P + a^2 (sum of cot(angle / 2) + half the sum of signed sweeps)."""
    hollow = [part.radius for part in outline.segments if isinstance(part, Arc) and part.bulge < 0]
    if hollow and min(hollow) <= allowance * 1.05:
        return
    patch = make_patch(outline, allowance, corners=Corners(limit=50.0))
    if any(corner.treatment != "mitre" for corner in patch.corners):
        return
    cots = sum(
        1.0 / math.tan((math.pi - turn) / 2.0)
        for turn in corner_turns(outline)
        if abs(turn) > SMOOTH_TURN
    )
    sweeps = sum(part.sweep for part in outline.segments if isinstance(part, Arc))
    expected = area(outline) + allowance * perimeter(outline) + allowance**2 * (cots + sweeps / 2.0)
    assert area(patch.outline) == pytest.approx(expected, rel=1e-9)


@COMMON
@given(strategies.outlines, st.floats(0.5, 9.5), st.sampled_from(["mitre", "blunt", "round"]))
def test_the_allowance_is_what_was_asked_everywhere(
    outline: Outline, allowance: float, kind: str
) -> None:
    """Template edge to patch edge: the asked allowance, by a second method."""
    hollow = [part.radius for part in outline.segments if isinstance(part, Arc) and part.bulge < 0]
    if hollow and min(hollow) <= allowance * 1.01:
        return
    patch = make_patch(outline, allowance, corners=Corners(kind))
    found = measure_allowance(outline, patch.outline)
    assert found.min_mm == pytest.approx(allowance, abs=1e-6)
    assert found.max_mm == pytest.approx(allowance, abs=1e-6)
    assert len(found.edges) == len(outline.vertices)
    assert require_simple(patch.outline) == patch.outline


@COMMON
@given(strategies.outlines, st.sampled_from([1e-3, 1e3]))
def test_patch_of_the_scaled_is_the_scaled_patch(outline: Outline, factor: float) -> None:
    # Started where both sizes are ones that can be cut: from 0.1 mm to 100 m.
    start = 1e-2 if factor > 1.0 else 10.0
    outline, allowance = scaled(outline, start), 2.0 * start
    once = make_patch(outline, allowance).outline
    other = make_patch(scaled(outline, factor), allowance * factor).outline
    assert area(other) == pytest.approx(area(once) * factor**2, rel=1e-9)

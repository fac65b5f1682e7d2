"""Yardage against a cutting of rows, piece by piece: never short, never a step too much.

The cutting counts in whole sixty-fourths of an inch, so that it has no rounding of its own.
"""

from dataclasses import dataclass, field
from fractions import Fraction

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from geometry.measure import flattened
from geometry.offset.allowance import make_patch
from geometry.planning.cloth import Cut, Fabric
from geometry.planning.finishing import backing, binding
from geometry.planning.strips import HALF_TURN
from geometry.planning.yardage import Yardage, yardage
from geometry.shapes.catalogue import build

UNIT = 25.4 / 64
#: 1/8 yd, 1/4 yd, 1/2 yd, 1 in, in sixty-fourths.
STEPS = (288, 576, 1152, 64)

sizes = st.tuples(st.integers(32, 900), st.integers(32, 900), st.integers(1, 400), st.booleans())


@dataclass
class Bolt:
    """A length of fabric from which strips are torn, in sixty-fourths of an inch.

    A piece is cut from the first strip of its width that has room for it.
    """

    width: int
    used: int = 0
    left: dict[int, list[int]] = field(default_factory=dict)

    def cut(self, across: int, along: int, count: int) -> None:
        strips = self.left.setdefault(along, [])
        for _ in range(count):
            for index, room in enumerate(strips):
                if room >= across:
                    strips[index] -= across
                    break
            else:
                self.used += along
                strips.append(self.width - across)


def simulated(
    pieces: list[tuple[int, int, int, bool]], width: int, *, directional: bool, spoilage: int
) -> int:
    chosen: list[tuple[int, int, int]] = []
    for across, along, count, may_turn_across_grain in pieces:
        needed = -(-count * (100 + spoilage) // 100)
        ways = [(across, along)]
        if may_turn_across_grain and not directional:
            ways.append((along, across))
        found = []
        for way in ways:
            if way[0] <= width:
                bolt = Bolt(width)
                bolt.cut(*way, needed)
                found.append((bolt.used, way))
        chosen.append((*min(found, key=lambda each: each[0])[1], needed))
    # The longest pieces first: what they leave of a strip is used for shorter ones.
    bolt = Bolt(width)
    for each in sorted(chosen, key=lambda each: -each[0]):
        bolt.cut(*each)
    return bolt.used


def as_cut(found: Yardage, pieces: list[tuple[int, int, int, bool]], width: int) -> int:
    """Return what the strips take, with every piece found in them, once and beside the others.

    Pieces that may not turn lie as they are; each lies in one strip, in whole sixty-fourths.
    """
    used = 0
    cut = [0] * len(pieces)
    for strip in found.strips:
        height = round(strip.height / UNIT)
        used += height * strip.repeats
        laid: list[tuple[int, int, int, int]] = []
        for portion in strip.portions:
            across, along, _, may_turn = pieces[portion.index]
            pattern = portion.way.pattern
            size = round(pattern.width / UNIT), round(pattern.height / UNIT)
            assert size == (across, along) or (may_turn and size == (along, across))
            for place in range(portion.count):
                left = round(portion.start / UNIT) + place * size[0]
                bottom = round(portion.level / UNIT)
                laid.append((left, bottom, left + size[0], bottom + size[1]))
            cut[portion.index] += portion.count * strip.repeats
        for at, (left, bottom, right, top) in enumerate(laid):
            assert 0 <= left < right <= width
            assert 0 <= bottom < top <= height
            assert all(
                right <= other[0] or other[2] <= left or top <= other[1] or other[3] <= bottom
                for other in laid[:at]
            )
    stated = [0] * len(pieces)
    for rows in found.rows:
        stated[rows.index] += rows.count
    assert stated == cut
    assert sum(each.rows for each in found.rows) == sum(each.repeats for each in found.strips)
    return used


def shortest(across: int, along: int, needed: int, width: int) -> int:
    """Return the least length of strips of both widths for one size, of all numbers of each."""
    held = [(along, width // across), (across, width // along)]
    (high, per_high), (low, per_low) = [each for each in held if each[1]] or held
    return min(
        firsts * high + max(0, -(-(needed - firsts * per_high) // per_low)) * low
        for firsts in range(-(-needed // per_high) + 1)
    )


def agree(
    pieces: list[tuple[int, int, int, bool]],
    width: int,
    step: int,
    directional: bool,
    spoilage: int,
    shrinkage: int,
) -> None:
    fabric = Fabric(width * UNIT, step * UNIT, shrinkage / 100, spoilage / 100, directional)
    cuts = [
        Cut(a * UNIT, b * UNIT, count, None if turn else HALF_TURN) for a, b, count, turn in pieces
    ]
    found = yardage(cuts, fabric)
    by_old_rule = simulated(pieces, width, directional=directional, spoilage=spoilage)
    sized = [(a, b, count, turn and not directional) for a, b, count, turn in pieces]
    used = as_cut(found, sized, width)
    needed = [-(-count * (100 + spoilage) // 100) for _, _, count, _ in pieces]
    for index, count in enumerate(needed):
        assert sum(each.count for each in found.rows if each.index == index) == count
    area = sum(a * b * count for (a, b, _, _), count in zip(pieces, needed, strict=True))
    assert area <= used * width
    # Strips of one width for each size and their ends are what anybody cuts; it is never more.
    assert used <= by_old_rule
    before = Fraction(used * 100, 100 - shrinkage)
    steps = round(found.buy / (step * UNIT))
    assert found.buy == pytest.approx(steps * step * UNIT, rel=1e-12)
    # Bought in whole steps: enough for the cutting, and one step less would be too short.
    assert steps * step >= before
    assert (steps - 1) * step < before
    assert found.length == pytest.approx(used * UNIT, rel=1e-12)
    assert found.unused == pytest.approx(float(steps * step - before) * UNIT, abs=1e-6)


orders = (
    st.lists(sizes, min_size=1, max_size=5),
    st.integers(900, 2900),
    st.sampled_from(STEPS),
    st.booleans(),
    st.sampled_from([0, 0, 3, 10, 25]),
    st.sampled_from([0, 0, 2, 5, 10]),
)


@settings(max_examples=300, deadline=None, derandomize=True)
@given(st.integers(32, 900), st.integers(32, 900), st.integers(1, 400), st.integers(900, 2900))
def test_strips_of_two_widths_are_the_shortest(
    across: int, along: int, count: int, width: int
) -> None:
    """Of one size that may be turned, against every number of strips of each width."""
    found = yardage([Cut(across * UNIT, along * UNIT, count, None)], Fabric(width * UNIT))
    least = shortest(across, along, count, width)
    assert found.length == pytest.approx(least * UNIT, rel=1e-12)
    assert sum(each.count for each in found.rows) == count
    assert as_cut(found, [(across, along, count, True)], width) == least


@settings(max_examples=150, deadline=None, derandomize=True)
@given(*orders)
def test_yardage_is_what_a_cutting_takes(
    pieces: list[tuple[int, int, int, bool]],
    width: int,
    step: int,
    directional: bool,
    spoilage: int,
    shrinkage: int,
) -> None:
    agree(pieces, width, step, directional, spoilage, shrinkage)


@pytest.mark.long
@pytest.mark.timeout(900)
@settings(max_examples=3000, deadline=None)
@given(*orders)
def test_yardage_is_what_many_cuttings_take(
    pieces: list[tuple[int, int, int, bool]],
    width: int,
    step: int,
    directional: bool,
    spoilage: int,
    shrinkage: int,
) -> None:
    agree(pieces, width, step, directional, spoilage, shrinkage)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.integers(1, 40), st.integers(1, 40), st.sampled_from(STEPS))
def test_rows_that_fit_exactly_lose_no_piece(across: int, rows: int, step: int) -> None:
    # A width that is a whole number of pieces, and a length that is a whole number of steps,
    # are where a float's last digit could cost a row or a step.
    piece = step // 8
    agree([(piece, piece, across * rows * 8, False)], piece * across, step, False, 0, 0)


@pytest.mark.parametrize(
    ("kind", "values"),
    [
        ("hexagon", {"side": 25.4}),
        ("triangle", {"side": 50.8}),
        ("diamond_45", {"side": 38.1}),
        ("clamshell", {"width": 50.8}),
        ("apple_core", {"length": 88.9}),
        ("half_hexagon", {"side": 31.75}),
    ],
)
def test_patches_lie_in_their_rows(kind: str, values: dict[str, float]) -> None:
    """Lay the patches themselves on what was bought: all are inside and none overlap."""
    outline = make_patch(build(kind, values), 6.35).outline
    bounds = outline.bounds
    count = 137
    found = yardage([Cut(bounds.width, bounds.height, count)], Fabric())
    patch = Polygon(flattened(outline, 0.01))
    cloth = box(0, 0, Fabric().width, found.buy).buffer(1e-6)
    laid = []
    for number in range(count):
        row, place = divmod(number, found.rows[0].per_row)
        laid.append(
            shapely.affinity.translate(
                patch, place * bounds.width - bounds.left, row * bounds.height - bounds.bottom
            )
        )
    assert all(cloth.covers(each) for each in laid)
    together = shapely.union_all(laid).area
    assert together == pytest.approx(patch.area * count, rel=1e-6)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(
    st.integers(640, 8000),
    st.integers(640, 8000),
    st.integers(64, 240),
    st.integers(1900, 2900),
    st.sampled_from(STEPS),
)
def test_strips_go_round_and_panels_cover(
    width: int, length: int, strip: int, usable: int, step: int
) -> None:
    fabric = Fabric(usable * UNIT, step * UNIT)
    extra = 640
    found = binding(
        width * UNIT,
        length * UNIT,
        strip=strip * UNIT,
        usable=usable * UNIT,
        extra=extra * UNIT,
        fabric=fabric,
    )
    needed = 2 * (width + length) + extra
    assert found.strips * usable >= needed > (found.strips - 1) * usable
    assert found.buy / UNIT >= found.strips * strip - 1e-6
    assert found.buy / UNIT < found.strips * strip + step
    behind = backing(
        width * UNIT,
        length * UNIT,
        extra_each_side=256 * UNIT,
        usable=usable * UNIT,
        join=32 * UNIT,
        seams="least",
        fabric=fabric,
    )
    for panels, across, along in (
        (behind.chosen, width, length)
        if behind.chosen.seams == "lengthwise"
        else (behind.chosen, length, width),
        (behind.alternative, width, length)
        if behind.alternative.seams == "lengthwise"
        else (behind.alternative, length, width),
    ):
        # Every join takes an allowance from both panels that it joins.
        covered = panels.panels * usable - 64 * (panels.panels - 1)
        one_less = (panels.panels - 1) * usable - 64 * (panels.panels - 2)
        assert covered >= across + 512
        assert panels.panels == 1 or one_less < across + 512
        assert panels.panel_length == pytest.approx((along + 512) * UNIT)
    assert behind.chosen.fabric_length <= behind.alternative.fabric_length

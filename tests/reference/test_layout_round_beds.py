"""Round pieces in round beds, beside the densest packings that are known.

Source:
    Ratios of the radius of the bed to that of so many circles: E. Specht, "The best known packings
    of equal circles in a circle", packomania.com; up to 13 and for 19 proved to be the least
    (R. Graham, U. Pirl, H. Melissen, F. Fodor).
"""

from __future__ import annotations

import math

import pytest

from geometry.layout import Item
from geometry.layout.beds.round_beds import circle_of
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.layouts import lay_out
from tests.short_form import short_form

RATIOS = {
    5: 2.7013, 8: 3.3048, 9: 3.6131, 11: 3.9238, 12: 4.0296, 13: 4.2361, 14: 4.3284, 15: 4.5214,
    16: 4.6154, 17: 4.7920, 18: 4.8637, 19: 4.8637, 20: 5.1223, 25: 5.7528, 37: 6.7588,
}  # fmt: skip
#: Those that are also laid in the short form.
SHORT = (5, 11, 19)
#: How much larger the bed is than the least one, so that nothing has to touch.
SPARE = 1.002


def disc(radius: float) -> WorkArea:
    return WorkArea(Outline.of([(3.0, 50.0, 1.0), (3.0 + 2.0 * radius, 50.0, 1.0)]))


@pytest.mark.parametrize(
    ("count", "ratio"),
    [
        pytest.param(count, ratio, marks=() if count in SHORT else pytest.mark.long)
        for count, ratio in RATIOS.items()
    ],
)
def test_as_many_as_in_the_densest_packing(count: int, ratio: float) -> None:
    """With a gap of 1 mm circles of 20 mm in a bed are circles of 21 in one larger by 1 mm."""
    circle = build("circle", {"diameter": 20.0})
    room = disc(SPARE * ratio * 10.5 - 0.5)
    layout = lay_out([Item("A", circle, count)], room, gap=1.0, effort="normal")
    (load,) = layout.loads
    assert load.repeats == 1
    assert load.outlines == {"A": count}
    assert check_load({"A": circle}, load, room, 1.0) == []


@pytest.mark.parametrize("count", short_form([7, 19], [7]))
def test_no_more_than_in_the_densest_packing(count: int) -> None:
    # derived: the bed of so many is too small for one more, so two loads
    circle = build("circle", {"diameter": 20.0})
    room = disc({7: 3.0, **RATIOS}[count] * 10.0 * SPARE)
    layout = lay_out([Item("A", circle, count + 1)], room, gap=0.0, effort="normal")
    assert sum(load.repeats for load in layout.loads) == 2
    assert layout.complete


def test_which_outlines_are_circles() -> None:
    round_ = circle_of(build("circle", {"diameter": 20.0}))
    assert round_ is not None
    assert round_.radius == pytest.approx(10.0)
    assert circle_of(build("hexagon", {"side": 20.0})) is None
    assert circle_of(build("clamshell", {"width": 40.0})) is None
    # Two halves of a circle apart: a slot of 2 x 20 mm between them.
    ends = [(-10.0, -1.0), (10.0, -1.0, 1.0 * math.tan(math.pi / 4.0)), (10.0, 1.0)]
    assert circle_of(Outline.of([*ends, (-10.0, 1.0, 1.0)])) is None

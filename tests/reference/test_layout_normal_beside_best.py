"""Mixed kits: effort ``normal`` takes at most 3 % more material than ``best``.

The twelve kits on a letter sheet are those of ``tests/benchmarks/layout_cases.py``. Material is the
share of a sheet that the used strips take, over all loads. ``best`` takes minutes for the twelve,
so the short form compares with what it took (own measurement).
"""

from __future__ import annotations

import pytest

from geometry.layout import Item
from geometry.layout.objective import used_strip
from tests.benchmarks import layout_cases as cases
from tests.layouts import lay_out
from tests.short_form import short_form

MOST = 1.03
KITS = dict(cases.mixed())
#: What ``best`` took before ``normal`` asked the nester for the last load of several kinds.
BEST = {
    "12 octagon, 24 square": 2.5342,
    "15 pentagon, 20 diamond_45": 1.9134,
    "8 octagon, 12 pentagon, 20 diamond_60": 2.6872,
}


def _material(items: list[Item], effort: str) -> float:
    outlines = {item.piece: item.outline for item in items}
    layout = lay_out(items, cases.LETTER, gap=cases.GAP, effort=effort)
    return sum(
        load.repeats * used_strip(load.placements, outlines, cases.LETTER).share
        for load in layout.loads
    )


#: Pentagons with diamonds are laid in ``test_layout_denser.py`` too.
@pytest.mark.parametrize("kit", short_form(BEST, ["12 octagon, 24 square"]))
def test_a_mixed_kit_takes_little_more_than_the_best(kit: str) -> None:
    assert _material(KITS[kit], "normal") <= MOST * BEST[kit]


@pytest.mark.long
def test_the_mixed_set_takes_little_more_than_the_best() -> None:
    normal = sum(_material(items, "normal") for items in KITS.values())
    best = sum(_material(items, "best") for items in KITS.values())
    assert best <= normal <= MOST * best

"""Layouts that were found before: the same answer for the same question, and for no other."""

from __future__ import annotations

from dataclasses import replace

import pytest

import geometry.layout
from geometry.layout import Item, Layout
from geometry.layout.effort import effort_of
from geometry.model.cutter import WorkArea
from geometry.shapes.catalogue import build
from service.tools import known_layouts, layouts
from service.tools.layouts import LayoutRequest, LayoutSearch, lay_out

ROOM = WorkArea.rectangle(0.0, 0.0, 200.0, 150.0)
HEXAGONS = [Item("A", build("hexagon", {"side": 15.0}), 9)]
WANTED = LayoutRequest(
    HEXAGONS,
    ROOM,
    gap=1.0,
    effort=effort_of("quick"),
    seed=0,
    sets=False,
    common_line=False,
    search=LayoutSearch(nester=None),
)


@pytest.fixture
def searches(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """Return the gaps of the layouts that were searched for."""
    gaps: list[float] = []

    def counted(*what: object, gap: float, **how: object) -> Layout:
        gaps.append(gap)
        return found(*what, gap=gap, **how)  # type: ignore[arg-type]

    found = geometry.layout.lay_out
    monkeypatch.setattr(layouts, "lay_out_loads", counted)
    return gaps


def test_the_same_question_is_searched_once(searches: list[float]) -> None:
    first = lay_out(WANTED)
    assert lay_out(replace(WANTED, items=list(HEXAGONS))) == first
    assert searches == [1.0]


@pytest.mark.parametrize(
    "other",
    [
        {"items": [replace(HEXAGONS[0], quantity=10)]},
        {"items": [replace(HEXAGONS[0], piece="B")]},
        {"items": [replace(HEXAGONS[0], turns="fixed")]},
        {"items": [replace(HEXAGONS[0], mirror=True)]},
        {"room": WorkArea.rectangle(0.0, 0.0, 200.0, 151.0)},
        {"gap": 1.5},
        {"effort": effort_of("normal")},
        {"seed": 1},
        {"sets": True},
        {"common_line": True},
    ],
)
def test_another_question_is_searched(searches: list[float], other: dict[str, object]) -> None:
    lay_out(WANTED)
    lay_out(replace(WANTED, **other))  # type: ignore[arg-type]
    assert len(searches) == 2


def test_a_search_that_was_cut_short_is_begun_again(searches: list[float]) -> None:
    wanted = replace(WANTED, effort=effort_of("normal"))
    late = lay_out(replace(wanted, search=LayoutSearch(None, should_stop=lambda: True)))
    assert not late.complete
    assert lay_out(wanted).complete
    assert len(searches) == 2
    # And what was searched to its end needs no more time.
    assert lay_out(replace(wanted, search=LayoutSearch(None, should_stop=lambda: True))).complete
    assert len(searches) == 2


def test_a_known_layout_is_reported_as_done() -> None:
    heard: list[tuple[float, str]] = []
    lay_out(WANTED)
    lay_out(replace(WANTED, search=LayoutSearch(None, progress=lambda *each: heard.append(each))))
    assert heard == [(1.0, "1 load laid out")]


def test_only_the_layouts_used_last_are_kept() -> None:
    layout = lay_out(WANTED)
    for number in range(66):
        known_layouts.keep(number, layout)
        # The first is used again and again, the second never.
        assert known_layouts.known(0) is layout
    assert known_layouts.known(1) is None
    assert known_layouts.known(65) is layout


def test_a_large_layout_is_not_kept() -> None:
    layout = lay_out(WANTED)
    (load,) = layout.loads
    known_layouts.keep("large", replace(layout, loads=(load,) * 56))
    # 56 loads of 9 are 504 placements.
    assert known_layouts.known("large") is None

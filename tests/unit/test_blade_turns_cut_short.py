"""Turns of a hand-set blade of which some were laid out in part: what is said of the others."""

from __future__ import annotations

from dataclasses import replace

import pytest

from geometry.layout import Item, Layout
from geometry.layout.effort import effort_of
from geometry.layout.task import load_count
from geometry.model.cutter import IndexedBlade, WorkArea
from geometry.shapes.catalogue import build
from service.tools import blade_turns
from service.tools.blade_turns import laid_out_by_turns
from service.tools.layouts import LayoutRequest, LayoutSearch, lay_out

#: What the built-in hoop lets a blade of 0.8 mm reach: 240 mm by 120 mm.
HOOP = WorkArea.rectangle(10.0, 30.0, 240.0, 120.0)
BLADE = IndexedBlade()
WANTED = LayoutRequest(
    [
        Item("A", build("hexagon", {"side": 31.75}), 24),
        Item("B", build("diamond_60", {"side": 31.75}), 24),
    ],
    HOOP,
    gap=0.4,
    effort=effort_of("quick"),
    seed=0,
    sets=False,
    common_line=False,
    search=LayoutSearch(nester=None),
)


def test_more_time_saves_loads_of_those_that_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    best = laid_out_by_turns(BLADE, WANTED)
    others = []

    def in_part(wanted: LayoutRequest) -> Layout:
        found = lay_out(wanted)
        if found.loads == best.loads:
            return found
        others.append(found)
        return replace(found, complete=False, warnings=("Said of other loads.",))

    monkeypatch.setattr(blade_turns, "lay_out", in_part)
    again = laid_out_by_turns(BLADE, WANTED)
    assert others
    assert again.loads == best.loads
    assert not again.complete
    (warning,) = again.warnings
    # A hexagon of 31.75 mm covers 2619 mm2 and a diamond 873 mm2: 83,808 mm2 of 28,800 mm2 per
    # load are at least 3 loads, and the order takes more.
    loads = load_count(best.loads)
    assert loads > best.bound >= 3
    assert f"of {loads}." in warning

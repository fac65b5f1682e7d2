"""Progress of a layout, and how it is stopped."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from geometry.layout import Item
from geometry.model.cutter import WorkArea
from geometry.shapes.catalogue import build
from service.tools.built_in import BUILT_IN
from tests import requested
from tests.layouts import lay_out

ROOM = WorkArea.rectangle(0, 0, 200, 150)
ITEMS = [
    Item("A", build("hexagon", {"side": 20.0}), 40),
    Item("B", build("square", {"side": 30.0}), 7),
    Item("C", build("triangle", {"side": 40.0}), 5),
]
KIT: dict[str, Any] = {
    "title": "Harbour",
    "units": "mm",
    "pieces": [
        {"id": "A", "shape": {"kind": "hexagon", "side": 20}, "quantity": 40},
        {"id": "B", "shape": {"kind": "square", "side": 20}, "quantity": 5},
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": "laser-bed",
            "material": {"kind": "card"},
            "formats": ["svg"],
        },
        {"cut": "patch", "cutter": "laser-bed", "material": {"kind": "card"}, "formats": ["svg"]},
    ],
}


@pytest.mark.parametrize(
    ("effort", "sets", "roll"),
    [
        # A kit in a plain room is heard below.
        pytest.param("normal", False, False, marks=pytest.mark.long),
        ("normal", True, False),
        ("normal", False, True),
        # All stages of the longest effort, with fewer steps in the last one.
        pytest.param(4.0, False, False, marks=pytest.mark.long),
        pytest.param("best", False, False, marks=pytest.mark.long),
    ],
)
def test_progress_rises_to_the_end(effort: str | float, sets: bool, roll: bool) -> None:
    found: list[tuple[float, str]] = []
    room = WorkArea(ROOM.boundary, (), open_right=roll)
    heard = lambda *each: found.append(each)
    # An effort has all its phases with a few pieces too.
    items = [replace(item, quantity=item.quantity // 4 + 1) for item in ITEMS]
    lay_out(items, room, gap=1.0, effort=effort, sets=sets, progress=heard)
    shares = [share for share, _ in found]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert all(message for _, message in found)
    assert "load" in found[-1][1]


def test_a_kit_tells_each_of_its_runs() -> None:
    found: list[tuple[float, str]] = []
    requested.kit(KIT, BUILT_IN.get, progress=lambda *each: found.append(each))
    shares = [share for share, _ in found]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    words = " ".join(message for _, message in found)
    assert "Run 1: " in words
    assert "Run 2 written" in words


def test_what_progress_raises_ends_the_work() -> None:
    class NoMoreError(Exception):
        pass

    def refuse(*_: object) -> None:
        raise NoMoreError

    with pytest.raises(NoMoreError):
        lay_out(ITEMS, ROOM, gap=1.0, progress=refuse)
    with pytest.raises(NoMoreError):
        requested.layouts(KIT, BUILT_IN.get, progress=refuse)

"""The layouts that are measured: 12 shapes on 5 work areas, and 12 mixed kits on a letter sheet."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from geometry.layout import Item
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.offset.allowance import Corners, make_patch
from geometry.shapes.catalogue import build
from geometry.units import MM_PER_INCH as INCH

GAP = 1.0
AREAS = {
    "letter": (8.0, 10.5),
    "a4": (7.767, 11.193),
    "hoop": (9.0, 4.25),
    "mat": (12.0, 12.0),
    "long mat": (12.0, 24.0),
}
SHAPES: dict[str, dict[str, float | int | str]] = {
    "hexagon": {"side": INCH},
    "triangle": {"side": 2 * INCH},
    "square": {"side": 1.5 * INCH},
    "pentagon": {"side": INCH},
    "octagon": {"side": INCH},
    "diamond_60": {"side": 1.5 * INCH},
    "diamond_45": {"side": 1.5 * INCH},
    "half_hexagon": {"side": INCH},
    "jewel": {"side": INCH},
    "kite": {"side": 1.5 * INCH},
    "clamshell": {"width": 2 * INCH},
    "apple_core": {"length": 3 * INCH},
}
KITS = [
    {"hexagon": 20, "triangle": 20, "square": 20},
    {"hexagon": 30, "diamond_60": 18},
    {"octagon": 12, "square": 24},
    {"jewel": 12, "kite": 30, "square": 10},
    {"pentagon": 15, "diamond_45": 20},
    {"triangle": 40, "half_hexagon": 20},
    {"clamshell": 20, "hexagon": 12},
    {"apple_core": 6, "square": 20},
    {"kite": 40, "triangle": 20, "hexagon": 10},
    {"octagon": 8, "pentagon": 12, "diamond_60": 20},
    {"half_hexagon": 24, "jewel": 10, "diamond_45": 14, "square": 8},
    {"hexagon": 9, "octagon": 9, "pentagon": 9, "triangle": 9, "square": 9},
]
LETTER = WorkArea.rectangle(0, 0, 8.0 * INCH, 10.5 * INCH)


def patch(kind: str) -> Outline:
    """Return a shape of the set with its 1/4 in seam allowance."""
    made = make_patch(build(kind, SHAPES[kind]), INCH / 4, corners=Corners("mitre"))
    return made.outline


def one_kind() -> Iterator[tuple[str, Item, WorkArea]]:
    """Yield each case of one kind: far more pieces than a load holds."""
    for kind, (name, (width, height)) in product(SHAPES, AREAS.items()):
        room = WorkArea.rectangle(0, 0, width * INCH, height * INCH)
        yield f"{kind} / {name}", Item(kind, patch(kind), 10_000), room


def mixed() -> Iterator[tuple[str, list[Item]]]:
    """Yield each mixed kit."""
    for kit in KITS:
        name = ", ".join(f"{count} {kind}" for kind, count in kit.items())
        yield name, [Item(kind, patch(kind), count) for kind, count in kit.items()]

"""Colours and widths of layers, by which drawing and cutting software sorts strokes.

Layers get the standard colours in order of first use; a single layer is black; a user's own mapping
overrides both. Colours are for software; on paper nothing depends on them.

Source:
    "DXF Reference" for AutoCAD 2000, colour numbers: 1 red, 2 yellow, 3 green, 4 cyan, 5 blue,
    6 magenta, 7 black on white (and white on black). The hues are those colours at full strength.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from adapters.contract import Setting
from adapters.names import layer_of
from geometry.model.plan import CutPlan

#: Standard colours by number, and the hue of each.
HUES: Final = {
    1: "#ff0000",
    2: "#ffff00",
    3: "#00ff00",
    4: "#00ffff",
    5: "#0000ff",
    6: "#ff00ff",
}
BLACK_NUMBER: Final = 7
BLACK: Final = "#000000"
_WORDS: Final = (
    "by layer (cut, cut-45deg, score, mark; cut alone stands for every blade angle); layers left "
    "out get the standard colours in order of first use, a single layer is black"
)
#: For formats with numbered colours.
NUMBERS: Final = Setting(
    "colours", "colour numbers", f"colour numbers {_WORDS}", minimum=1, maximum=255
)
#: For formats with RGB colours.
TEXTS: Final = Setting("colours", "colours", f"colours, #rrggbb, {_WORDS}")
#: Widths of lines, in mm.
WIDTHS: Final = Setting(
    "widths",
    "widths",
    "line widths in mm, by layer (cut, cut-45deg, score, mark; cut alone stands for every blade "
    "angle), for software that sorts by them; layers left out have 0.1 mm",
    minimum=0.001,
    maximum=20.0,
)
_WIDTH: Final = 0.1


def numbers_of(plan: CutPlan, chosen: Mapping[str, Any] | None) -> dict[str, int]:
    """Return the colour number of each of a plan's layers."""
    given = {name: int(each) for name, each in (chosen or {}).items()}
    found = _assigned(layers_of(plan), given, list(HUES), BLACK_NUMBER)
    return {layer: int(colour) for layer, colour in found.items()}


def hues_of(plan: CutPlan, chosen: Mapping[str, Any] | None) -> dict[str, str]:
    """Return the colour of each of a plan's layers, ``#rrggbb``."""
    given = {name: str(each).lower() for name, each in (chosen or {}).items()}
    found = _assigned(layers_of(plan), given, list(HUES.values()), BLACK)
    return {layer: str(colour) for layer, colour in found.items()}


def widths_of(plan: CutPlan, chosen: Mapping[str, Any] | None) -> dict[str, float]:
    """Return the line width of each of a plan's layers, mm."""
    given = chosen or {}
    return {
        layer: float(given.get(layer, given.get(layer.partition("-")[0], _WIDTH)))
        for layer in layers_of(plan)
    }


def layers_of(plan: CutPlan) -> list[str]:
    """Return a plan's layers: in its run's order where that is known, else by first use."""
    used = list(dict.fromkeys(layer_of(stroke) for stroke in plan.strokes))
    return sorted(used, key=lambda each: _place(plan.layers, each))


def _place(order: Sequence[str], layer: str) -> int:
    return order.index(layer) if layer in order else len(order)


def _assigned(
    layers: Sequence[str],
    chosen: Mapping[str, int] | Mapping[str, str],
    standard: Sequence[int] | Sequence[str],
    black: int | str,
) -> dict[str, int | str]:
    found: dict[str, int | str] = {}
    for layer in layers:
        own = chosen.get(layer, chosen.get(layer.partition("-")[0]))
        if own is not None:
            found[layer] = own
    left = [layer for layer in layers if layer not in found]
    if len(layers) == 1:
        return found or {layers[0]: black}
    # A colour that the user has chosen for a layer is not used for any other.
    free = [each for each in standard if each not in found.values()] or list(standard)
    return found | {layer: free[at % len(free)] for at, layer in enumerate(left)}

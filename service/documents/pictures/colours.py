"""The colours of named fabrics in pictures: CSS names, hex codes, words, and tints for the rest.

Colours that print alike in grey get hatching too, so that a print without colour can be read.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from service.documents.pictures.css_colours import CSS_COLOURS

#: Words of cloth and paint that are no CSS names. Common practice, no source.
WORDS: Final = {
    "amber": "#ffbf00", "apricot": "#fbceb1", "brick": "#a5432d", "burgundy": "#800020",
    "charcoal": "#36454f", "copper": "#b87333", "cream": "#fff6d5", "denim": "#3d5a80",
    "ecru": "#e3d6b8", "emerald": "#2f9e6e", "flax": "#e0d2a0", "heather": "#9a86a4",
    "jade": "#3aa17e", "lemon": "#fff15c", "lilac": "#c8a2c8", "mint": "#aee3c5",
    "moss": "#7d8f4e", "mustard": "#d9a520", "natural": "#efe6d0", "oatmeal": "#ddd0b8",
    "ochre": "#cc7722", "peach": "#ffcfa8", "petrol": "#1f5f66", "rose": "#e58a9c",
    "ruby": "#9b1b4a", "rust": "#b0522b", "sage": "#a3b18a", "sailcloth": "#f2e9d5",
    "sand": "#dcc8a0", "sapphire": "#1f4f99", "slate": "#70808a", "stone": "#c9c2b4",
    "straw": "#e4d07a", "terracotta": "#c8643c", "wine": "#722f37",
}  # fmt: skip
#: Words of lightness alone, where no other word of a name is a colour: what "light" is drawn in
#: must not be darker than "dark". Common practice, no source.
SHADES: Final = {
    "background": "#f4ecd8", "dark": "#2f4a5c", "deep": "#2f4a5c", "light": "#f2e3c2",
    "medium": "#b98d63", "pale": "#f2e3c2",
}  # fmt: skip
_TINTS: Final = (
    "#f2e3c2", "#4f7f8c", "#d99a6c", "#7d9a6a", "#e9d3d8", "#8a5a63", "#cfd8dc", "#50617a",
    "#e8c85f", "#96836b", "#b7cfa8", "#6e5b86", "#f7d8c4", "#2f6f5e", "#c98bb0", "#5c4a3a",
    "#dfe6a8", "#3d5a80", "#e0a899", "#7a8450", "#d3c4ea", "#a3483f", "#9fc9d3", "#44403c",
)  # fmt: skip
_HEX: Final = re.compile(r"#(?:[0-9a-f]{3}|[0-9a-f]{6})")
_WORD: Final = re.compile(r"[a-z]+")
#: Lightness in hundredths that a print in grey still shows.
_APART: Final = 7.0
#: Luminance and part of sRGB below which both are straight lines (CIE 1976; IEC 61966-2-1).
_DARK, _LINEAR = 0.008856, 0.04045
#: Hatchings: angles of their lines in degrees, the plain fill first.
HATCHINGS: Final = (None, 45.0, 135.0, 0.0, 90.0)


@dataclass(frozen=True)
class Tint:
    """A fill, and the angle of its hatching; ``None`` for a plain one."""

    fill: str
    hatching_deg: float | None = None


def named_colour(name: str) -> str | None:
    """Return the colour that a name says, as ``#rrggbb``; ``None`` if it says none.

    A hex code stands for itself and a CSS name for its colour, also in two words ("sea green");
    else the first word that is a colour counts: "rust red" is rust, "tide blue" blue. A word of
    lightness counts where no other is a colour: "dark cotton" is dark.
    """
    text = name.strip().lower()
    if _HEX.fullmatch(text):
        digits = text[1:]
        return f"#{''.join(2 * each for each in digits)}" if len(digits) == 3 else text  # noqa: PLR2004
    words = _WORD.findall(text)
    pairs = ("".join(words[at : at + 2]) for at in range(len(words) - 1))
    for word in ("".join(words), *pairs, *words):
        found = WORDS.get(word) or CSS_COLOURS.get(word)
        if found is not None:
            return found
    return next((SHADES[word] for word in words if word in SHADES), None)


def tints_of(names: Iterable[str]) -> dict[str, Tint]:
    """Return how each of these fabrics is drawn, all of them unlike."""
    found: dict[str, Tint] = {}
    listed = list(names)
    stated = {name: named_colour(name) for name in listed}
    free = (each for each in _TINTS if each not in stated.values())
    for at, name in enumerate(listed):
        fill = stated[name] or next(free, None) or _TINTS[at % len(_TINTS)]
        found[name] = Tint(fill, _hatching(fill, found.values()))
    return found


def _hatching(fill: str, others: Iterable[Tint]) -> float | None:
    """Return the hatching that tells a fill from the others on a print in grey."""
    taken = [
        each.hatching_deg
        for each in others
        if abs(_lightness(each.fill) - _lightness(fill)) < _APART
    ]
    return min(HATCHINGS, key=lambda each: (taken.count(each), HATCHINGS.index(each)))


def _lightness(fill: str) -> float:
    """Return the lightness L* of a colour (CIE 1976, by sRGB's luminance)."""
    red, green, blue = (_linear(int(fill[at : at + 2], 16) / 255.0) for at in (1, 3, 5))
    luminance = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    dark = 7.787 * luminance + 16.0 / 116.0
    cube = luminance ** (1.0 / 3.0) if luminance > _DARK else dark
    return 116.0 * cube - 16.0


def _linear(part: float) -> float:
    return part / 12.92 if part <= _LINEAR else ((part + 0.055) / 1.055) ** 2.4


def is_dark(tint: str) -> bool:
    """Return whether white letters read better on a colour than dark ones."""
    digits = tint[1:] if len(tint) > 4 else "".join(2 * each for each in tint[1:])  # noqa: PLR2004 - #rgb
    red, green, blue = (int(digits[at : at + 2], 16) for at in (0, 2, 4))
    return 0.299 * red + 0.587 * green + 0.114 * blue < 110.0  # noqa: PLR2004 - of 255

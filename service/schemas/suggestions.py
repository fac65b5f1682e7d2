"""Suggestions for names and values that a request has and no schema knows."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from typing import Final

#: What people call a field: by its plain name, the names it may have here, the likeliest first.
_MEANT: Final[Mapping[str, tuple[str, ...]]] = {
    "qty": ("quantity",),
    "amount": ("quantity",),
    "count": ("quantity", "count"),
    "number": ("quantity",),
    "pcs": ("quantity",),
    "seam": ("seam_allowance",),
    "allowance": ("seam_allowance",),
    "seam_width": ("seam_allowance",),
    "unit": ("units",),
    "name": ("title", "id", "name"),
    "label": ("title", "id"),
    "type": ("kind",),
    "machine": ("cutter",),
    "fabric": ("material",),
    "cloth": ("material",),
    "sheet": ("material",),
    "stock": ("material",),
    "format": ("formats",),
    "file_format": ("formats",),
    "output": ("formats",),
    "plies": ("layers",),
    "ply": ("layers",),
    "spacing": ("gap",),
    "distance": ("gap",),
    "rotation": ("grain",),
    "rotate": ("grain",),
    "corner": ("corners",),
    "edge": ("side", "width"),
    "side_length": ("side",),
    "length": ("height", "side", "length"),
    "height": ("length", "side"),
    "flats": ("across_flats",),
    "points_across": ("across_corners",),
    "diameter": ("across_corners", "width"),
    "margin": ("margins",),
    "work_area": ("bed",),
    "feed": ("speed",),
    "hole": ("removal_hole",),
    "template": ("cut",),
    "shapes": ("pieces", "shape"),
    "print": ("documents",),
    "parts": ("pieces",),
    "part": ("pieces",),
}
#: Ways to size a shape, as far as a schema has them.
_SIZES: Final = ("side", "across_flats", "across_corners", "width", "height", "length", "radius")
#: How many fields an error lists where none of them is like the unknown one.
_MAX_LISTED: Final = 12
_COLOUR: Final = ("colour", "color", "fabric_colour", "fabric_color")


def suggestion(unknown: str, known: Iterable[str]) -> str:
    """Return what to write instead of a field that is not known here.

    Where that is unclear, it is the list of the fields that are, unless they are many.
    """
    names = list(known)
    word = _plain(unknown)
    if word in _COLOUR:
        if "name" in names and "kind" in names:
            return 'Write the colour in `name`, such as "blue cotton".'
        return (
            "A colour belongs to a run's material: "
            '"material": {"name": "blue cotton", "kind": "fabric"}.'
        )
    if word in {"size", "sizes", "dimensions"}:
        return _size(names)
    meant = next((each for each in _MEANT.get(word, ()) if each in names), None)
    if meant is None:
        plain = {_plain(name): name for name in names}
        near = difflib.get_close_matches(word, list(plain), n=1, cutoff=0.7)
        meant = plain[near[0]] if near else None
    if meant is not None:
        return f"Did you mean `{meant}`?"
    if len(names) > _MAX_LISTED:
        return ""
    return f"Fields here are {', '.join(f'`{name}`' for name in names)}."


def close_match(value: str, known: Iterable[str]) -> str:
    """Return the question whether a known value was meant, after a space; empty when unclear."""
    near = difflib.get_close_matches(value, list(known), n=1)
    return f' Did you mean "{near[0]}"?' if near else ""


def _size(names: list[str]) -> str:
    ways = [each for each in _SIZES if each in names]
    if ways and "bed" not in names:
        return f"A size says which: {', '.join(f'`{way}`' for way in ways)}."
    if "shape" in names:
        return (
            "A piece's size stands in its `shape` and says which it is: "
            '"shape": {"kind": "hexagon", "side": "1 in"}.'
        )
    return "A size says which it is, such as `width` and `height`."


def _plain(name: str) -> str:
    """Return a name as this project spells names: small letters, words parted by underscores."""
    parted = re.sub(r"(?<=[a-z0-9])(?=[A-Z])", "_", name[:80])
    return re.sub(r"[^a-z0-9]+", "_", parted.lower()).strip("_")

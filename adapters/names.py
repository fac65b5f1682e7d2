"""Names in files: operations, blade angles, pieces."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TypeVar

from adapters.transliteration import plain_letters, transliterated
from geometry.model.plan import NOTES, Stroke

_Value = TypeVar("_Value")
_NOT_XML = re.compile("[\\x00-\\x1f\\x7f-\\x9f\\ud800-\\udfff\\ufffe\\uffff]")
#: Marks that turn the direction of what follows, so that a text reads differently from its letters.
_TURNING = re.compile("[\\u061c\\u200e\\u200f\\u202a-\\u202e\\u2066-\\u2069]")
_NOT_PLAIN = re.compile(r"[^A-Za-z0-9]+")


def layer_of(stroke: Stroke) -> str:
    """Return the layer of a stroke: its operation and the blade's angle, if it has one."""
    if stroke.part in NOTES:
        # Notes to a die's maker are not cut or drawn, so they have their own layers.
        return stroke.part
    if stroke.angle_deg is None:
        return stroke.operation
    angle = f"{stroke.angle_deg:g}".replace(".", "p").replace("-", "m")
    return f"{stroke.operation}-{angle}deg"


def of_layer(stroke: Stroke, by_layer: Mapping[str, _Value], default: _Value) -> _Value:
    """Return what a setting such as `pens` states for a stroke, or the default.

    A stroke's own layer comes first, then its operation: `cut` stands for every blade angle that is
    not stated.
    """
    return by_layer.get(layer_of(stroke), by_layer.get(stroke.operation, default))


def plain(text: str, most: int = 24) -> str:
    """Return a text reduced to ASCII letters, digits, single hyphens; ``x`` if nothing is left."""
    return _NOT_PLAIN.sub("-", plain_letters(text)).strip("-")[:most].strip("-") or "x"


def comment(text: str, most: int = 60) -> str:
    """Return a text that is safe inside any format's comment: one short plain line."""
    letters = transliterated(text)
    kept = "".join(c if c.isascii() and (c.isalnum() or c in " -_.,:/'") else " " for c in letters)
    return " ".join(kept.split())[:most]


def xml_text(text: str, most: int = 200) -> str:
    """Return a text of any script as one line that XML can hold; it is not escaped yet.

    Source:
        W3C, "Extensible Markup Language (XML) 1.0 (Fifth Edition)", 2.2: no control characters,
        surrogates, U+FFFE or U+FFFF. Unicode Standard Annex 9, 2: the marks that control direction.
    """
    kept = "".join(" " if _NOT_XML.match(char) else char for char in _TURNING.sub("", text))
    return " ".join(kept.split())[:most]

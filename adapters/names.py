"""Plain-word names for what a file holds: operations, blade angles, pieces."""

from __future__ import annotations

import re

from geometry.model.plan import Stroke

_NOT_PLAIN = re.compile(r"[^A-Za-z0-9]+")


def layer_of(stroke: Stroke) -> str:
    """Return the layer of a stroke: its operation in words, and the blade's angle if it has one."""
    if stroke.angle_deg is None:
        return stroke.operation
    angle = f"{stroke.angle_deg:g}".replace(".", "p").replace("-", "m")
    return f"{stroke.operation}-{angle}deg"


def plain(text: str, most: int = 24) -> str:
    """Return a text cut down to ASCII letters, digits and single hyphens; ``x`` for nothing."""
    return _NOT_PLAIN.sub("-", text).strip("-")[:most].strip("-") or "x"


def comment(text: str, most: int = 60) -> str:
    """Return a text that is safe inside any format's comment: one short plain line."""
    kept = "".join(c if c.isascii() and (c.isalnum() or c in " -_.") else " " for c in text)
    return " ".join(kept.split())[:most]

"""Finds pieces of a quilt that are mirror images of others: one template, turned over, is both."""

from __future__ import annotations

from collections.abc import Sequence

from geometry.model.transform import Rigid
from geometry.planning.pieces import Need, signature


def mirror_images(found: Sequence[Need]) -> tuple[int | None, ...]:
    """Return, for each piece, the index of an earlier one of its colour that it mirrors.

    ``None`` for all others, and for pieces that are their own mirror images. An earlier piece is
    named once.
    """
    shapes = [signature(need.shape.outline) for need in found]
    mirrored = Rigid(mirrored=True)
    images = [signature(mirrored.outline(need.shape.outline)) for need in found]
    partners: list[int | None] = [None] * len(found)
    open_by_key: dict[object, list[int]] = {}
    for index, need in enumerate(found):
        if shapes[index] == images[index]:
            continue
        others = open_by_key.get((need.colour, images[index]))
        if others:
            partners[index] = others.pop(0)
        else:
            open_by_key.setdefault((need.colour, shapes[index]), []).append(index)
    return tuple(partners)

"""The nearest sizes of pieced stars: with other numbers of diamonds along a point's edge."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from geometry.planning.frames import NEAR, Edge, NearestSizes, Size
from service.requests.quilt_spec import QuiltSpec

_DIAMONDS = "diamonds"


def with_other_stars(
    sizes: NearestSizes, spec: QuiltSpec, counts: Mapping[str, int], block: float, edge: Edge
) -> NearestSizes:
    """Return nearer sizes along an axis where one star of more or fewer diamonds makes them.

    A number of diamonds that the request states is kept unless it makes no smaller size at all.

    Args:
        sizes: nearest with the plan's number of diamonds.
        spec: the quilt.
        counts: the plan's whole numbers.
        block: the star's size along the axis, mm.
        edge: how the axis ends.
    """
    if _DIAMONDS not in counts or edge != "whole" or spec.setting is not None:
        return sizes
    least, most, _ = spec.tiling.counts[_DIAMONDS]
    one = block / counts[_DIAMONDS]
    is_free = _DIAMONDS not in spec.counts
    smaller, larger = sizes.smaller, sizes.larger
    below = min(math.floor((sizes.requested + NEAR) / one), most)
    if below >= least and _is_nearer(below * one, smaller, is_free=is_free):
        smaller = Size(1, below * one, below)
    above = max(math.ceil((sizes.requested - NEAR) / one), least)
    if is_free and above <= most and above * one < larger.mm - NEAR:
        larger = Size(1, above * one, above)
    return replace(sizes, smaller=smaller, larger=larger)


def _is_nearer(size: float, smaller: Size | None, *, is_free: bool) -> bool:
    return smaller is None or (is_free and size > smaller.mm + NEAR)

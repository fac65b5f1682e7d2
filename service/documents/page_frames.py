"""Frames of pages that say how many pages a document takes.

They lay their content out without drawing it. One of them also adds up its least height, with
pictures as small as they can be.
"""

from __future__ import annotations

import math
from typing import Any

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Frame, KeepTogether

#: Tolerance of a page that is full, points.
_ROUNDING = 0.01


def can_shrink_to(flowable: Any, height: float) -> None:  # noqa: ANN401 - the library's own
    """Note that a flowable may become lower, down to a height in points, in another arrangement."""
    flowable.least_height = height


class PlainFrame(Frame):  # type: ignore[misc]
    """A frame whose copies are cheap.

    The library copies the frame for each group of flowables that it measures, and deeply, though
    all that a frame of ours has is numbers.
    """

    def __deepcopy__(self, _memo: dict[int, Any]) -> Frame:
        """Return a frame of the same place and state."""
        found = object.__new__(type(self))
        found.__dict__.update(self.__dict__)
        return found


class UndrawnFrame(PlainFrame):
    """A frame that takes up what is added to it, without drawing it."""

    def add(self, flowable: Flowable, canvas: Canvas, trySplit: int = 0) -> int:  # noqa: N803
        """Add a flowable; return whether it fits."""
        flowable.drawOn = draw_nothing
        return int(super().add(flowable, canvas, trySplit))


class MeasuringFrame(UndrawnFrame):
    """A frame that also adds up the least height of what is set in it, over all pages."""

    def __init__(self, *given: Any, **named: Any) -> None:  # noqa: ANN401 - the library's own
        super().__init__(*given, **named)
        self._taken = self._space = 0.0
        self._is_known = True

    def add(self, flowable: Flowable, canvas: Canvas, trySplit: int = 0) -> int:  # noqa: N803
        """Add a flowable; return whether it fits."""
        before = self._y
        if not super().add(flowable, canvas, trySplit):
            return 0
        self._taken += min(before - self._y, getattr(flowable, "least_height", math.inf))
        self._space = max(self._space, flowable.getSpaceBefore(), flowable.getSpaceAfter())
        return 1

    def split(self, flowable: Flowable, canvas: Canvas) -> list[Flowable]:
        """Break a flowable over two pages, if it can be broken."""
        found = list(super().split(flowable, canvas))
        # The parts may be higher together than the whole, by an unknown amount; but those of a
        # KeepTogether are its members, which are as high as before.
        self._is_known = self._is_known and (not found or isinstance(flowable, KeepTogether))
        return found

    def min_pages(self) -> int:
        """Return the fewest pages for what was added so far; 1 if that is not known."""
        if not self._is_known:
            return 1
        # Space above and below content is left out where a page begins and where it ends: at most
        # two spaces for each page.
        pages = 1
        while self._taken - 2 * pages * self._space > pages * self._aH + _ROUNDING:
            pages += 1
        return pages


def draw_nothing(*_: Any, **__: Any) -> None:  # noqa: ANN401 - the library's own
    """Draw nothing."""

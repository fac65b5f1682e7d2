"""Boxes to tick on a printed page."""

from __future__ import annotations

from reportlab.platypus import Flowable


class TickBox(Flowable):  # type: ignore[misc]
    """One box to tick."""

    def wrap(self, *_: float) -> tuple[float, float]:
        """Return the width and height it takes, points."""
        return 14.0, 16.0

    def draw(self) -> None:
        """Draw it on the canvas of its page."""
        self.canv.setLineWidth(0.8)
        self.canv.rect(1.0, 2.0, 11.0, 11.0)


class TickBoxGroups(Flowable):  # type: ignore[misc]
    """Boxes to tick in groups of five, a row of groups after another."""

    _BOX, _APART, _ROW = 11.0, 14.0, 18.0

    def __init__(self, groups: tuple[int, ...], width: float) -> None:
        super().__init__()
        self.groups = groups
        self.across = max(1, int(width / (max(groups) * self._APART + 8.0)))
        self.rows = -(-len(groups) // self.across)

    def wrap(self, available: float, _: float) -> tuple[float, float]:
        """Return the width and height it takes, points."""
        return available, self.rows * self._ROW + 2.0

    def draw(self) -> None:
        """Draw it on the canvas of its page."""
        self.canv.setLineWidth(0.8)
        for index, count in enumerate(self.groups):
            row, column = divmod(index, self.across)
            y = (self.rows - row - 1) * self._ROW + 4.0
            left = 3.0 + column * (max(self.groups) * self._APART + 8.0)
            for each in range(count):
                self.canv.rect(left + each * self._APART, y, self._BOX, self._BOX)

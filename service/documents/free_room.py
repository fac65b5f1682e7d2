"""Fills the room that a load leaves free at the foot of a page with a section from the end.

A load stays with its picture on one page. Where it goes to the next page, a short section fills the
rest of this one, and is left out where it would have stood.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from reportlab.platypus import Flowable, KeepTogether

from service.documents.typesetting import Noted

#: Room that stays free about a section, points.
_AIR = 2.0


class MovableSection:
    """A section that stands once: in the first room that is free, or else at its own place."""

    def __init__(self, flowables: Iterable[Flowable], width: float) -> None:
        self.flowables = list(flowables)
        self.width = width
        self.is_placed = False

    @property
    def high(self) -> float:
        """Return its height, points."""
        return _height(self.flowables, self.width)

    def before(self, following: Flowable) -> Flowable:
        """Return the section for the room above something that may not fit below it."""
        return _InFreeRoom(self, following)

    def at_its_place(self) -> list[Flowable]:
        """Return the section for its own place, where it is left out once it stands elsewhere."""
        return [_AtItsPlace(self, each) for each in self.flowables]


class _InFreeRoom(KeepTogether):  # type: ignore[misc]
    """The section, if what follows goes to the next page and leaves enough room for it."""

    def __init__(self, section: MovableSection, following: Flowable) -> None:
        super().__init__(list(_parts(section.flowables)))
        self._section, self._following = section, following

    def split(self, aW: float, aH: float) -> list[Flowable]:  # noqa: ARG002, N803 - its names
        """Return the section or nothing, as the height that is left says."""
        section = self._section
        needed = _height([self._following], section.width)
        if section.is_placed or needed <= aH or section.high + _AIR > aH:
            return [Noted(None, keep=False)]
        section.is_placed = True
        return list(_parts(section.flowables))


class _AtItsPlace(KeepTogether):  # type: ignore[misc]
    """A part of the section, unless that stands elsewhere."""

    def __init__(self, section: MovableSection, part: Flowable) -> None:
        super().__init__(list(_parts([part])))
        self._section = section

    def split(self, aW: float, aH: float) -> list[Flowable]:  # noqa: N803 - the library's names
        """Return the part, or nothing."""
        if self._section.is_placed:
            return [Noted(None, keep=False)]
        return list(super().split(aW, aH))


class KeptPair(KeepTogether):  # type: ignore[misc]
    """Two things that are each kept together, on one page where that has room for both."""

    def __init__(self, first: Flowable, second: Flowable) -> None:
        super().__init__(list(_parts((first, second))))
        self._both = [first, second]

    def split(self, aW: float, aH: float) -> list[Flowable]:  # noqa: N803 - the library's names
        """Return the parts of both, or each for itself where a page has no room for both."""
        first, second = self._both
        if _height(self._both, aW) > self._frame._height:  # noqa: SLF001 - no other way
            first._frame = self._frame  # noqa: SLF001 - likewise
            return [*first.splitOn(self.canv, aW, aH), second]
        return list(super().split(aW, aH))


def _height(flowables: Iterable[Flowable], width: float) -> float:
    """Return the height that flowables take below each other, points."""
    return sum(
        float(each.getSpaceBefore() + each.wrap(width, 1e6)[1] + each.getSpaceAfter())
        for each in _parts(flowables)
    )


def _parts(flowables: Iterable[Flowable]) -> Iterator[Flowable]:
    """Yield flowables, and in place of those that are kept together their members."""
    for each in flowables:
        if isinstance(each, KeepTogether):
            yield from _parts(each._content)  # noqa: SLF001 - the library has no other way
        else:
            yield each

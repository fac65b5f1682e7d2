"""The strips of fabric by the length, in the order in which a person cuts them."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from geometry.model.outline import Outline
from geometry.model.transform import Rigid
from geometry.planning.cloth import Fabric
from geometry.planning.strip_filling import CutStrip, StripPortion
from geometry.planning.strips import laid_in_strip
from geometry.planning.triangles import shared_pieces
from geometry.planning.ways import Way
from geometry.planning.yardage import Yardage
from geometry.units import format_length
from service.documents.pictures.strips import DrawnStrip
from service.quilts.cutting import Cutting, Strips, cutting_of, strips_text
from service.texts import gettext as _
from service.texts import gettext_noop as _later

_ACROSS = _later("width of fabric")
#: What a length may fall short of a ruler's mark by rounding, in steps of the ruler.
_NEAR = 1e-6


def cutting_by_length(
    found: Yardage, names: Sequence[str], nouns: Sequence[str], fabric: Fabric, units: str
) -> Cutting:
    """Return how the pieces of fabric that is bought by the length are cut by hand.

    Args:
        found: the strips.
        names: of the sizes; empty where there is but one.
        nouns: what one piece of each size is called; empty for a rectangle.
        fabric: that they are cut from.
        units: of the sentences.
    """
    sentences = _Sentences(found, names, nouns, fabric, units)
    return cutting_of(list(sentences.strips()), fabric, units, _drawn(found, names, fabric, units))


@dataclass(frozen=True)
class _FromRests:
    """What is cut of a size in one way from a strip that others begin."""

    strip: CutStrip
    portions: Sequence[StripPortion]

    @property
    def way(self) -> Way:
        return self.portions[0].way

    @property
    def step(self) -> int:
        return self.portions[0].step

    @property
    def count(self) -> int:
        return sum(each.count for each in self.portions) * self.strip.repeats

    @property
    def is_end(self) -> bool:
        """Whether it is the end of the strip in its whole height."""
        return self.strip.is_as_high_as(self.way)

    @property
    def is_cut_further(self) -> bool:
        """Whether later sizes are cut from the same strip."""
        return any(each.step > self.step for each in self.strip.portions)


@dataclass(frozen=True)
class _Sentences:
    """A yardage, and what its sizes are called."""

    found: Yardage
    names: Sequence[str]
    nouns: Sequence[str]
    fabric: Fabric
    units: str

    def strips(self) -> Iterator[Strips]:
        """Yield the strips, one sentence for each: what comes from rests comes after them."""
        rests = [each for strip in self.found.strips for each in _from_rests(strip)]
        later = {each.step for each in rests}
        steps = {
            (portion.index, portion.way): portion.step
            for strip in self.found.strips
            for portion in strip.portions
        }
        keys = [(rows.index, rows.way) for rows in self.found.rows]
        keys.sort(key=lambda key: steps[key] + 1 if steps[key] in later else 0)
        said: set[int] = set()
        for index, way in keys:
            if (step := steps[index, way]) in later and step not in said:
                said.add(step)
                # Of one step, lower rests are cut before its own strips.
                for each in rests:
                    if each.step == step and not each.is_end:
                        yield self._in_rest(each)
            ends = [each for each in rests if each.is_end and self._is_of(each, index, way)]
            # Which ends are used, and for how many, matters where more is cut from these strips.
            for each in ends:
                if each.is_cut_further:
                    yield self._end(each)
            yield from self._across(index, way, [each for each in ends if not each.is_cut_further])

    @staticmethod
    def _is_of(each: _FromRests, index: int, way: Way) -> bool:
        return each.way == way and each.portions[0].index == index

    def _across(self, index: int, way: Way, ends: Sequence[_FromRests]) -> Iterator[Strips]:
        """Yield a size's own strips, with what comes from the ends of others as high."""
        (rows,) = (each for each in self.found.rows if (each.index, each.way) == (index, way))
        from_ends = sum(each.count for each in ends)
        count = rows.count - rows.from_rests + from_ends
        if not count:
            return
        yield Strips(
            self.names[index],
            self.nouns[index],
            way,
            rows.cut.cut_outline,
            count,
            rows.per_row,
            rows.rows,
            self.fabric.width,
            _("Cut"),
            _(_ACROSS),
            from_ends,
            self._ends(ends),
        )

    def _end(self, each: _FromRests) -> Strips:
        """Return what is cut from the whole ends of equal strips."""
        first = each.portions[0]
        return Strips(
            self.names[first.index],
            self.nouns[first.index],
            each.way,
            self._outline(first.index),
            each.count,
            each.way.count(first.room),
            0,
            first.room,
            "",
            "",
            each.count,
            self._called([each.strip]),
            first.count if each.strip.repeats > 1 else 0,
        )

    def _in_rest(self, each: _FromRests) -> Strips:
        """Return the lower strips that are cut from what is left of a strip."""
        first = each.portions[0]
        room, repeats = self._by_ruler(each.way, first.room), each.strip.repeats
        across = format_length(room, self.units)
        if repeats > 1:
            count = len(each.portions)
            across = _("{length}, {count} from each", length=across, count=count)
        return Strips(
            self.names[first.index],
            self.nouns[first.index],
            each.way,
            self._outline(first.index),
            each.count,
            each.way.count(first.room),
            len(each.portions) * repeats,
            room,
            _("From the rest of {strips} cut", strips=self._called([each.strip])),
            across,
        )

    def _outline(self, index: int) -> Outline:
        return next(each.cut.cut_outline for each in self.found.rows if each.index == index)

    def _by_ruler(self, way: Way, room: float) -> float:
        """Return a length down to the ruler's mark, where it holds as many pieces."""
        if (step := self.fabric.ruler_step) <= 0.0:
            return room
        marked = math.floor(room / step + _NEAR) * step
        return marked if way.count(marked) == way.count(room) else room

    def _ends(self, ends: Sequence[_FromRests]) -> str:
        """Return what the strips are called whose ends are used."""
        strips = [each.strip for each in ends]
        begun = {each.strip.portions[0].index for each in ends}
        every = [each for size in begun for each in self._begun([size])]
        if len(begun) < sum(each.repeats for each in every) and all(
            any(each is used for used in strips) for each in every
        ):
            sizes = _(" and ").join(self.names[each] for each in sorted(begun))
            return _("the strips for {sizes}", sizes=sizes)
        return self._called(strips)

    def _begun(self, sizes: Collection[int]) -> list[CutStrip]:
        """Return the strips that some sizes begin, as they are cut."""
        order = [(each.index, each.way) for each in self.found.rows]
        begun = [each for each in self.found.strips if each.portions[0].index in sizes]
        # Equal ones come as they are: the full ones, and then the last.
        return sorted(
            begun, key=lambda each: order.index((each.portions[0].index, each.portions[0].way))
        )

    def _called(self, strips: Sequence[CutStrip]) -> str:
        """Return what strips are called: ``strip 3 for A and strips 2 to 4 for B``."""
        sizes = dict.fromkeys(each.portions[0].index for each in strips)
        return _(" and ").join(
            name for size in sorted(sizes) for name in self._numbered(size, strips)
        )

    def _numbered(self, index: int, strips: Sequence[CutStrip]) -> Iterator[str]:
        """Yield what those strips are called that a size begins."""
        size, begun = self.names[index], self._begun([index])
        if sum(each.repeats for each in begun) == 1:
            yield _("the strip for {size}", size=size)
            return
        runs: list[list[int]] = []
        number = 1
        for strip in begun:
            if any(strip is each for each in strips):
                last = number + strip.repeats - 1
                if runs and runs[-1][1] == number - 1:
                    runs[-1][1] = last
                else:
                    runs.append([number, last])
            number += strip.repeats
        for first, last in runs:
            if first == last:
                yield _("strip {number} for {size}", number=first, size=size)
            else:
                yield _("strips {first} to {last} for {size}", first=first, last=last, size=size)


def _from_rests(strip: CutStrip) -> Iterator[_FromRests]:
    """Yield what is cut of a strip after the pieces that begin it, by step, way and length."""
    groups: dict[tuple[int, Way, float], list[StripPortion]] = {}
    for portion in strip.portions[1:]:
        groups.setdefault((portion.step, portion.way, portion.room), []).append(portion)
    return (_FromRests(strip, portions) for portions in groups.values())


def _drawn(
    found: Yardage, names: Sequence[str], fabric: Fabric, units: str
) -> Iterator[DrawnStrip]:
    """Yield the drawing of every strip; equal ones are drawn once, and a last one with the full."""
    alike: dict[tuple[object, ...], list[CutStrip]] = {}
    for number, strip in enumerate(found.strips):
        first = strip.portions[0]
        key = (number,) if strip.is_shared else (first.index, first.way)
        alike.setdefault(key, []).append(strip)
    outlines = {each.index: each.cut.cut_outline for each in found.rows}
    order = [(each.index, each.way) for each in found.rows]

    def turn(strips: Sequence[CutStrip]) -> tuple[bool, int]:
        # Strips of one size first, and then those that sizes share.
        first = strips[0].portions[0]
        return strips[0].is_shared, order.index((first.index, first.way))

    for strips in sorted(alike.values(), key=turn):
        full = max(strips, key=lambda each: each.portions[0].count)
        sizes = ", ".join(dict.fromkeys(names[each.index] for each in full.portions))
        count = strips_text(sum(each.repeats for each in strips))
        title = f"{count} {format_length(full.height, units)} x {_(_ACROSS)}"
        pieces = [
            Rigid(0.0, portion.start, portion.level).outline(outline)
            for portion in full.portions
            for outline in _lying(outlines[portion.index], portion)
        ]
        yield DrawnStrip(f"{sizes}: {title}" if sizes else title, fabric.width, full.height, pieces)


def _lying(outline: Outline, portion: StripPortion) -> tuple[Outline, ...]:
    """Return the pieces of a portion, from its lower left corner."""
    pattern, shared = portion.way.pattern, portion.way.shared
    if shared is not None:
        return shared_pieces(shared, pattern.width, pattern.height, pattern.turn_deg, portion.count)
    return laid_in_strip(outline, pattern, portion.room, portion.count)

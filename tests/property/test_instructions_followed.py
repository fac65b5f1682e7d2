"""Cutting instructions followed word for word, with a ruler in sixteenths of an inch.

A person reads one sentence after the other, cuts strips off the cloth, and lower strips out of
what is left of them. All pieces come out, and no more cloth is used than is stated.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass, field
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.planning.cloth import Cut, Fabric
from geometry.planning.strips import HALF_TURN
from geometry.planning.yardage import yardage
from service.quilts.cut_strips import cutting_by_length

SVG = "{http://www.w3.org/2000/svg}"
INCH = 25.4
MARK = INCH / 16
NAMES = "ABCDEF"

LENGTH = r"(?:\d+ )?\d+(?:/\d+)? in"
PIECES = rf"(?P<count>\d+) (?:square|rectangle)s? (?P<across>{LENGTH})(?: by (?P<along>{LENGTH}))?"
STRIPS = rf"(?P<strips>\d+) strips? (?P<height>{LENGTH}) x "
OWN = re.compile(
    rf"(?P<size>\w): Cut {STRIPS}width of fabric; from (?:it|them)"
    rf"(?: and (?P<rest>the rest of .+))? {PIECES}(?:, (?P<per_strip>\d+) to a strip)?\."
)
ENDS = re.compile(
    rf"(?P<size>\w): From (?P<rest>the rest of .+) cut {PIECES}(?:, (?P<each>\d+) from each)?\."
)
LOWER = re.compile(
    rf"(?P<size>\w): From (?P<rest>the rest of .+) cut {STRIPS}(?P<room>{LENGTH})"
    rf"(?:, (?P<each>\d+) from each)?; from (?:it|them) {PIECES}"
    rf"(?:, (?P<per_strip>\d+) to a strip)?\."
)
STRIP = re.compile(r"strips? (?P<first>\d+)(?: to (?P<last>\d+))? for (?P<size>\w)")


def sixteenths(text: str) -> int:
    """Return a length in sixteenths of an inch."""
    total = sum(Fraction(each) for each in text.removesuffix(" in").split()) * 16
    assert total.denominator == 1
    return int(total)


@dataclass
class Strip:
    """A strip on the table: its height and length, and where cloth is left of it."""

    size: str
    height: int
    #: Left, width, bottom and height of each rectangle that is left.
    left: list[tuple[int, int, int, int]]
    pieces: int = 0


@dataclass
class Person:
    """Somebody who cuts as it is written."""

    width: int
    strips: list[Strip] = field(default_factory=list)
    cut: dict[str, int] = field(default_factory=dict)

    def follow(self, sentence: str) -> None:
        """Cut what a sentence says."""
        if found := OWN.fullmatch(sentence):
            self._own(found)
        elif found := LOWER.fullmatch(sentence):
            self._lower(found)
        elif found := ENDS.fullmatch(sentence):
            left = self._ends(found, sixteenths(found["along"] or found["across"]))
            assert left == 0
        else:
            raise AssertionError(sentence)

    def _own(self, found: re.Match[str]) -> None:
        height, size = sixteenths(found["height"]), found["size"]
        assert height == sixteenths(found["along"] or found["across"])
        left = self._ends(found, height) if found["rest"] else int(found["count"])
        across = sixteenths(found["across"])
        per_strip = self.width // across
        assert int(found["per_strip"] or per_strip) == per_strip
        fresh = [
            Strip(size, height, [(0, self.width, 0, height)]) for _ in range(int(found["strips"]))
        ]
        # Every strip is needed, and they are enough.
        assert (len(fresh) - 1) * per_strip < left <= len(fresh) * per_strip
        for strip in fresh:
            here = min(left, per_strip)
            self._take(strip, strip.left[0], (across, height), (here, 1), size)
            left -= here
        self.strips += fresh

    def _ends(self, found: re.Match[str], height: int) -> int:
        """Cut pieces from the ends of strips as high, the longest first; return what is left."""
        across, left = sixteenths(found["across"]), int(found["count"])
        ends = [
            (strip, each)
            for strip in self._named(found["rest"])
            for each in strip.left
            if strip.height == height == each[3]
        ]
        for strip, end in sorted(ends, key=lambda each: -(each[1][1] // across)):
            here = min(left, end[1] // across)
            assert int(found.groupdict().get("each") or here) == here
            if here:
                self._take(strip, end, (across, height), (here, 1), found["size"])
            left -= here
        return left

    def _lower(self, found: re.Match[str]) -> None:
        height, room = sixteenths(found["height"]), sixteenths(found["room"])
        size = sixteenths(found["across"]), height
        assert height == sixteenths(found["along"] or found["across"])
        strips = self._named(found["rest"])
        each, rest = divmod(int(found["strips"]), len(strips))
        assert not rest
        assert int(found["each"] or each) == each
        per_strip = room // size[0]
        assert int(found["per_strip"] or per_strip) == per_strip
        count, rest = divmod(int(found["count"]), len(strips))
        assert not rest
        assert (each - 1) * per_strip < count <= each * per_strip
        for strip in strips:
            fitting = [one for one in strip.left if one[1] == room and one[3] >= each * height]
            assert fitting, (strip, found.string)
            self._take(strip, fitting[0], size, (count, each), found["size"])

    def _named(self, rest: str) -> list[Strip]:
        """Return the strips that are named: all of some sizes, or some by their numbers."""
        words = rest.removeprefix("the rest of ")
        if STRIP.search(words):
            found = []
            for each in STRIP.finditer(words):
                of_size = [strip for strip in self.strips if strip.size == each["size"]]
                found += of_size[int(each["first"]) - 1 : int(each["last"] or each["first"])]
            return found
        sizes = re.fullmatch(r"the strips? for (.+)", words)
        assert sizes
        return [each for each in self.strips if each.size in sizes[1].split(" and ")]

    def _take(
        self,
        strip: Strip,
        rest: tuple[int, int, int, int],
        size: tuple[int, int],
        taken: tuple[int, int],
        name: str,
    ) -> None:
        """Cut so many pieces from a rest, in so many rows one above the other."""
        (start, room, level, high), (across, height), (count, rows) = rest, size, taken
        per_row = room // across
        assert rows * height <= high
        assert (rows - 1) * per_row < count <= rows * per_row
        strip.left.remove(rest)
        full, last = divmod(count, per_row)
        for number, low, up in ((per_row, 0, full), (last, full, full + 1)):
            if number and up > low and room > number * across:
                begin = start + number * across
                strip.left.append(
                    (begin, room - number * across, level + low * height, (up - low) * height)
                )
        if high > rows * height:
            strip.left.append((start, room, level + rows * height, high - rows * height))
        strip.pieces += count
        self.cut[name] = self.cut.get(name, 0) + count


sizes = st.tuples(
    st.integers(16, 400), st.integers(16, 400), st.integers(1, 60), st.booleans()
)  # fmt: skip


def check(pieces: list[tuple[int, int, int, bool]], width: int) -> None:
    """Follow the instructions for pieces in sixteenths of an inch, and compare the drawing."""
    fabric = Fabric(width * MARK, ruler_step=MARK)
    cuts = [
        Cut(a * MARK, b * MARK, count, (0.0, 90.0, 180.0, 270.0) if turn else HALF_TURN)
        for a, b, count, turn in pieces
    ]
    found = yardage(cuts, fabric)
    names = list(NAMES[: len(pieces)])
    cutting = cutting_by_length(found, names, [""] * len(pieces), fabric, "in")
    person = Person(width)
    for sentence in cutting.instructions[1:]:
        person.follow(sentence)
    assert person.cut == {name: count for name, (_, _, count, _) in zip(names, pieces, strict=True)}
    assert sum(each.height for each in person.strips) == round(found.length / MARK)
    assert len(person.strips) == sum(each.rows for each in found.rows)
    drawn(cutting.answer().picture, person)


def drawn(picture: str, person: Person) -> None:
    """Check that every strip is drawn once, and those that sizes share with all their pieces."""
    root = ET.fromstring(picture)  # noqa: S314 - our own text
    counts = [
        len(each.findall(f".//{SVG}path[@class='piece']"))
        for each in root.iter(f"{SVG}g")
        if each.get("class") == "strip"
    ]
    total, pieces = 0, 0
    for text, count in zip(root.iter(f"{SVG}text"), counts, strict=True):
        found = re.fullmatch(r"(.+): (\d+) strips? (.+) x width of fabric", str(text.text))
        assert found
        total += int(found[2])
        if ", " in found[1]:
            pieces += int(found[2]) * count
    assert total == len(person.strips)
    assert pieces <= sum(each.pieces for each in person.strips)


@settings(max_examples=50, deadline=None, derandomize=True)
@given(st.lists(sizes, min_size=2, max_size=5), st.integers(560, 720))
def test_a_person_gets_all_pieces(pieces: list[tuple[int, int, int, bool]], width: int) -> None:
    check(pieces, width)


@pytest.mark.long
@pytest.mark.timeout(900)
@settings(max_examples=2000, deadline=None)
@given(st.lists(sizes, min_size=2, max_size=6), st.integers(560, 720))
def test_many_people_get_all_pieces(pieces: list[tuple[int, int, int, bool]], width: int) -> None:
    check(pieces, width)

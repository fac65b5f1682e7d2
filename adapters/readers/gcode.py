"""A G-code interpreter.

Source:
    NISTIR 6556 (RS274NGC, version 3): modal groups, G0 to G3 with centre offsets relative to the
    start, G20 and G21, comments in parentheses; the radius test of section 3.5.3.
"""

from __future__ import annotations

import math
import re

from adapters.readers.strokes import ReadSegment, ReadStop, ReadStroke
from geometry.model.points import Point

READER = "RS-274 interpreter"
_WORD = re.compile(r"([A-Z])([-+]?[0-9]*\.?[0-9]+)")
_COMMENT = re.compile(r"\(([^()]*)\)")
_LAYER = re.compile(r"(cut|score|mark|nick|bridge)(-m?[0-9]+(p[0-9]+)?deg)?")
#: Ends of an arc may differ in radius by this, mm.
_RADIUS_TEST = 0.002


def read(data: bytes) -> tuple[list[ReadStroke], list[ReadStop]]:
    """Return the strokes of the lowered tool, mm, and the stops (M0).

    A stroke's group is the last comment with a layer. Each states its power word and power or its
    depth, its feeds, and the height of the way to it. A stop's words are the comments before it.

    Raises:
        ValueError: for an invalid line, an arc whose ends have different radii, a rapid move or a
            stop with the tool lowered, anything after the end, or power, depth or feed that change
            within a stroke.
    """
    machine = _Machine()
    for line in data.decode("ascii").splitlines():
        for words in _COMMENT.findall(line):
            machine.comment(words)
        block = _COMMENT.sub("", line).strip()
        found = _WORD.findall(block)
        if "".join(a + b for a, b in found) != block.replace(" ", ""):
            raise ValueError(f"a line cannot be read: {line[:40]!r}")
        if found:
            machine.block({letter: float(value) for letter, value in found}, found)
    machine.lift()
    return machine.strokes, machine.stops


class _Machine:
    def __init__(self) -> None:
        self.strokes: list[ReadStroke] = []
        self.stops: list[ReadStop] = []
        self.words: list[str] = []
        self.has_ended = False
        self.at, self.unit, self.motion = Point(0.0, 0.0), 1.0, 0
        self.down, self.group = False, ""
        self.start = self.at
        self.moves: list[ReadSegment] = []
        self.power, self.feed, self.spindle = 0.0, 0.0, ""
        self.height: float | None = None
        self.travel: float | None = None
        self.plunge: float | None = None
        self.work: dict[str, float | str] = {}

    def comment(self, words: str) -> None:
        """Store the layer that a comment names, and its words for a stop that may follow."""
        self.words.append(words)
        # A piece may have the name of an operation; its comment holds more than that.
        if _LAYER.fullmatch(words):
            self.group = words

    def lift(self) -> None:
        """End the current stroke."""
        if self.moves:
            ends = math.dist(self.start, self.moves[-1].end)
            self.strokes.append(
                ReadStroke(
                    self.start,
                    tuple(self.moves),
                    closed=ends == 0.0,
                    group=self.group,
                    work=tuple(sorted(self.work.items())),
                )
            )
        self.moves, self.down, self.start, self.work = [], False, self.at, {}

    def lower(self) -> None:
        """Start a stroke here."""
        self.lift()
        self.down = True

    def block(self, words: dict[str, float], found: list[tuple[str, str]]) -> None:
        """Execute one block."""
        if self.has_ended:
            raise ValueError("it goes on after its end")
        self.power = words.get("S", self.power)
        for letter, value in found:
            if letter == "G":
                self._general(float(value))
            elif letter == "M":
                self._miscellaneous(float(value))
        self.words = []
        # After the words for the unit, which may stand in the same block.
        self.feed = words["F"] * self.unit if "F" in words else self.feed
        if "Z" in words:
            self._height(words["Z"] * self.unit)
        if "X" in words or "Y" in words:
            self._move(words)

    def _miscellaneous(self, code: float) -> None:
        if code in {3.0, 4.0}:
            self.spindle = f"M{code:g}"
            self.lower()
        elif code == 5.0:  # noqa: PLR2004 - spindle stop
            self.spindle = ""
            self.lift()
        elif code == 0.0:
            if self.down:
                raise ValueError("it stops with the tool lowered")
            self.stops.append(ReadStop(len(self.strokes), " ".join(self.words)))
        elif code == 2.0:  # noqa: PLR2004 - end of program
            self.has_ended = True

    def _height(self, z: float) -> None:
        self.height = z
        if z < 0.0:
            if self.motion == 0:
                raise ValueError("the tool plunges in a rapid move")
            self.lower()
            self.plunge = self.feed
        else:
            self.lift()

    def _general(self, code: float) -> None:
        if code in {0.0, 1.0, 2.0, 3.0}:
            self.motion = int(code)
        elif code in {20.0, 21.0}:
            self.unit = 25.4 if code == 20.0 else 1.0  # noqa: PLR2004 - inch
        elif code not in {17.0, 40.0, 90.0, 91.1, 94.0}:
            raise ValueError(f"unexpected G{code:g}")

    def _move(self, words: dict[str, float]) -> None:
        end = Point(
            words["X"] * self.unit if "X" in words else self.at.x,
            words["Y"] * self.unit if "Y" in words else self.at.y,
        )
        if self.motion == 0:
            if self.down:
                raise ValueError("a rapid move with the tool lowered")
            self.lift()
            self.travel = self.height
        elif not self.down:
            raise ValueError("a cutting move with the tool raised")
        else:
            middle = Point((self.at.x + end.x) / 2.0, (self.at.y + end.y) / 2.0)
            if self.motion > 1:
                middle = self._middle(words, end)
            self.moves.append(ReadSegment(middle, end))
            self._state_work()
        self.at = end
        if self.motion == 0:
            self.start = end

    def _state_work(self) -> None:
        """Note the power, depth and feed of a cutting move; they are those of its stroke."""
        if not self.feed:
            raise ValueError("a cutting move without a feed")
        work: dict[str, float | str] = {"feed_mm_min": self.feed}
        if self.spindle:
            work |= {"power": self.power, "power_word": self.spindle}
        elif self.height is not None and self.plunge is not None and self.travel is not None:
            work |= {
                "depth_mm": self.height,
                "plunge_feed_mm_min": self.plunge,
                "clear_mm": self.travel,
            }
        if self.work and work != self.work:
            raise ValueError("power, depth or feed changes within a stroke")
        self.work = work

    def _middle(self, words: dict[str, float], end: Point) -> Point:
        """Return the mid-point of an arc; check its radius at both ends."""
        centre = Point(
            self.at.x + words.get("I", 0.0) * self.unit, self.at.y + words.get("J", 0.0) * self.unit
        )
        radius = math.dist(self.at, centre)
        if abs(math.dist(end, centre) - radius) > _RADIUS_TEST:
            raise ValueError("an arc's ends are not equally far from its centre")
        first = math.atan2(self.at.y - centre.y, self.at.x - centre.x)
        last = math.atan2(end.y - centre.y, end.x - centre.x)
        clockwise = self.motion == 2  # noqa: PLR2004 - G2
        turn = -((first - last) % math.tau) if clockwise else (last - first) % math.tau
        angle = first + (turn or math.tau) / 2.0
        return Point(centre.x + radius * math.cos(angle), centre.y + radius * math.sin(angle))

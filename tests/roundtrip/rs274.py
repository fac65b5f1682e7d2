"""A small strict interpreter of G-code.

Written from memory of the public text "The NIST RS274NGC Interpreter - Version 3" (Kramer,
Proctor, Messina; NISTIR 6556, 2000) and not from the adapter that it judges. What that text
allows and no file here needs (expressions, parameters, radius arcs, cycles, tool tables) is
refused, and so is what it leaves to a machine's start-up state.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import TypeAlias

XYZ: TypeAlias = tuple[float, float, float]

GROUPS = (
    "dwell:G4|motion:G0 G1 G2 G3|plane:G17|units:G20 G21|distance:G90 G91|arc distance:G91.1|"
    "feed mode:G94|compensation:G40|stopping:M0 M2 M30|spindle:M3 M4 M5"
)
PAIRS = (group.split(":") for group in GROUPS.split("|"))
GROUP_OF = {code: group for group, codes in PAIRS for code in codes.split()}
WORD = re.compile(r"([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))")


class GCodeError(ValueError):
    """What the standard, or this reader's strictness, refuses."""


@dataclass(frozen=True)
class Move:
    """One motion in mm; ``contact`` counts the times that the tool came on, 0 while off."""

    rapid: bool
    start: XYZ
    end: XYZ
    centre: tuple[float, float] | None
    clockwise: bool
    contact: int
    feed: float

    @property
    def sweep(self) -> float:
        """Signed angle of an arc, rad; a whole turn where it ends where it starts."""
        assert self.centre is not None
        cx, cy = self.centre
        first = math.atan2(self.start[1] - cy, self.start[0] - cx)
        last = math.atan2(self.end[1] - cy, self.end[0] - cx)
        if self.clockwise:
            return -((first - last) % math.tau or math.tau)
        return (last - first) % math.tau or math.tau

    def at(self, share: float) -> tuple[float, float]:
        """Place at a share of the way; an arc's radius runs evenly from start's to end's."""
        (ax, ay, _), (bx, by, _) = self.start, self.end
        if self.centre is None:
            return ax + share * (bx - ax), ay + share * (by - ay)
        cx, cy = self.centre
        radius = (1 - share) * math.hypot(ax - cx, ay - cy) + share * math.hypot(bx - cx, by - cy)
        angle = math.atan2(ay - cy, ax - cx) + share * self.sweep
        return cx + radius * math.cos(angle), cy + radius * math.sin(angle)


@dataclass(frozen=True)
class Halt:
    """An M0 with the comments since the last motion or halt, in order."""

    comments: tuple[str, ...]
    tool_on: bool
    after_contact: int


@dataclass
class _State:
    position: XYZ = (0.0, 0.0, 0.0)
    modes: dict[str, str] = field(default_factory=lambda: {"spindle": "M5"})
    feed: float = 0.0
    power: float = 0.0
    contact: int = 0
    touching: bool = False
    ended: bool = False
    comments: list[str] = field(default_factory=list)
    events: list[Move | Halt] = field(default_factory=list)

    @property
    def powered(self) -> bool:
        return self.modes["spindle"] != "M5" and self.power > 0

    def touch(self, on: bool) -> None:
        self.contact += on and not self.touching
        self.touching = on


def interpret(text: str) -> list[Move | Halt]:
    """Return the motions and halts of a program, in order, or raise a GCodeError."""
    state = _State()
    marks = 0
    for number, line in enumerate(text.splitlines(), 1):
        try:
            if line.strip() == "%":
                marks += 1
                continue
            _block(state, line, closed=marks > 1)
        except GCodeError as fault:
            raise GCodeError(f"line {number}: {fault}: {line!r}") from None
    if not state.ended and marks != 2:
        raise GCodeError("the program has no end")
    return state.events


def _words(state: _State, line: str) -> tuple[dict[str, str], dict[str, float]]:
    """Return the codes by modal group and the other words by letter."""
    code, mark, note = re.sub(r"\([^()]*\)", "", line).partition(";")
    state.comments += re.findall(r"\(([^()]*)\)", line) + ([note.strip()] if mark else [])
    code = re.sub(r"[ \t]", "", code).upper()
    if WORD.sub("", code):
        raise GCodeError("not made of words")
    codes: dict[str, str] = {}
    values: dict[str, float] = {}
    for place, (letter, digits) in enumerate(WORD.findall(code)):
        if letter in "GM":
            name = f"{letter}{float(digits):g}"
            if name not in GROUP_OF:
                raise GCodeError(f"unknown code {name}")
            if GROUP_OF[name] in codes:
                raise GCodeError(f"two words of the group {GROUP_OF[name]}")
            codes[GROUP_OF[name]] = name
        elif letter not in "NXYZIJPFS":
            raise GCodeError(f"unknown word {letter}")
        elif letter in values or (letter == "N" and place):
            raise GCodeError(f"word {letter} doubled or out of place")
        else:
            values[letter] = float(digits)
    return codes, values


def _block(state: _State, line: str, *, closed: bool) -> None:
    """Carry out one line in the standard's order: feed, speed, spindle, modes, motion, stop."""
    codes, values = _words(state, line)
    if (state.ended or closed) and (codes or values):
        raise GCodeError("words after the program's end")
    if "units" in codes and values.keys() - {"N", "S"}:
        raise GCodeError("units change on a line with lengths")
    if ("dwell" in codes) != ("P" in values) or values.get("P", 0.0) < 0:
        raise GCodeError("a dwell needs P, not negative, and nothing else does")
    state.modes.update(codes)
    if "F" in values:
        state.feed = values["F"] * _unit(state)
    state.power = values.get("S", state.power)
    if min(state.feed, state.power) < 0:
        raise GCodeError("negative feed or speed")
    state.touch(state.powered or state.position[2] < 0)
    if values.keys() & set("XYZIJ"):
        if "dwell" in codes:
            raise GCodeError("a dwell with axis words")
        _motion(state, values)
        state.comments.clear()
    elif codes.get("motion", "G0") != "G0":
        raise GCodeError("a motion with no axis words")
    if codes.get("stopping") == "M0":
        state.events.append(Halt(tuple(state.comments), state.touching, state.contact))
        state.comments.clear()
    elif "stopping" in codes:
        state.ended = True


def _unit(state: _State) -> float:
    if "units" not in state.modes:
        raise GCodeError("lengths before G20 or G21")
    return 25.4 if state.modes["units"] == "G20" else 1.0


def _motion(state: _State, values: dict[str, float]) -> None:
    unit = _unit(state)
    for group in ("motion", "distance", "plane"):
        if group not in state.modes:
            raise GCodeError(f"motion before a word of the group {group}")
    kind = state.modes["motion"]
    start = state.position
    base = start if state.modes["distance"] == "G91" else (0.0, 0.0, 0.0)
    x, y, z = (
        base[axis] + values[name] * unit if name in values else start[axis]
        for axis, name in enumerate("XYZ")
    )
    if kind != "G0" and state.feed <= 0:
        raise GCodeError("feed motion with no feed")
    centre = None
    if kind in {"G2", "G3"}:
        if not (values.keys() & set("XY") and values.keys() & set("IJ")) or z != start[2]:
            raise GCodeError("an arc needs X or Y, and I or J, at one height")
        centre = (start[0] + values.get("I", 0.0) * unit, start[1] + values.get("J", 0.0) * unit)
        first, last = math.dist(start[:2], centre), math.dist((x, y), centre)
        if min(first, last) == 0 or abs(first - last) > (0.005 if unit == 1.0 else 0.0005 * unit):
            raise GCodeError(f"an arc's radii differ: {first:.4f} and {last:.4f}")
    elif values.keys() & set("IJ"):
        raise GCodeError("I or J with no arc")
    # A plunge comes on at its end and a lift goes off at its end: neither is a cut.
    state.touch(state.powered or max(z, start[2]) < 0 or (z == start[2] < 0))
    state.position = (x, y, z)
    contact = state.contact if state.touching else 0
    if not state.touching and min(z, start[2]) < 0 and (x, y) != start[:2]:
        raise GCodeError("the tool slopes through the surface")
    state.events.append(
        Move(kind == "G0", start, (x, y, z), centre, kind == "G2", contact, state.feed)
    )
    state.touch(state.powered or z < 0)

"""The commands of SVG path data with their numbers, read strictly.

Source:
    W3C, "Scalable Vector Graphics (SVG) 1.1 (Second Edition)", 2011: chapter 8.3 (grammar).
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from geometry.errors import ShapeError

_LARGEST = 1.0e7
_NUMBER = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]{1,2})?")
_FLAG = re.compile(r"[01]")
_BLANK = re.compile(r"[ \t\r\n]*,?[ \t\r\n]*")
#: One step's numbers, each taken whole, with what follows them; an arc's flags are single digits.
_STEP_NUMBER = r"((?>[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]{1,2})?))"
_STEP_BLANK = r"(?>[ \t\r\n]*,?[ \t\r\n]*)"
_NEEDS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
#: Positions of the two flags among an arc's numbers.
_FLAGS = (3, 4)

_STEPS = {
    letter: re.compile(
        "".join(
            (r"([01])" if letter == "A" and place in _FLAGS else _STEP_NUMBER) + _STEP_BLANK
            for place in range(need)
        )
    )
    for letter, need in _NEEDS.items()
}


#: A line alone, as most drawings of many lines have it: a move, and a line to a place.
_SINGLE_LINE = re.compile(
    rf"[ \t\r\n]*M[ \t\r\n]*{(_STEP_NUMBER + _STEP_BLANK) * 2}L[ \t\r\n]*"
    rf"{_STEP_NUMBER}{_STEP_BLANK}{_STEP_NUMBER}[ \t\r\n]*"
)


def single_line(text: str) -> tuple[complex, complex] | None:
    """Return the ends of path data that is one line, or ``None`` for any other."""
    found = _SINGLE_LINE.fullmatch(text)
    if found is None:
        return None
    x, y, u, v = map(float, found.groups())
    if max(abs(x), abs(y), abs(u), abs(v)) > _LARGEST:
        return None
    # No zeros with a sign, as for other paths.
    return complex(x + 0.0, y + 0.0), complex(u + 0.0, v + 0.0)


def path_commands(text: str) -> Iterator[tuple[str, list[float]]]:
    """Yield each command with its numbers; one whose letter is left out has that of the last.

    Raises:
        ShapeError: for a syntax error, naming the character, or a number that is too large.
    """
    at, end = _skip(text, 0), len(text.rstrip(" \t\r\n"))
    command = ""
    while at < end:
        if text[at].isalpha():
            command = text[at]
            if command.upper() not in _NEEDS:
                raise _unread(text, at)
            at = _skip(text, at + 1)
        elif not command or command in "Zz":
            raise _unread(text, at)
        upper = command.upper()
        found = _STEPS[upper].match(text, at)
        if found is None:
            raise _unread(text, _first_unread(text, at, upper))
        numbers = [float(each) for each in found.groups()]
        _check_size(max(map(abs, numbers), default=0.0))
        at = found.end()
        yield command, numbers
        # Further pairs after a move are lines.
        command = {"M": "L", "m": "l"}.get(command, command)


def _check_size(number: float) -> None:
    if abs(number) > _LARGEST:
        raise ShapeError(f"Path data has a number beyond {_LARGEST:g}.", where=("path",))


def _first_unread(text: str, at: int, upper: str) -> int:
    """Return the place of the first of a step's numbers that cannot be read."""
    for place in range(_NEEDS[upper]):
        is_flag = upper == "A" and place in _FLAGS
        found = _FLAG.match(text, at) if is_flag else _NUMBER.match(text, at)
        if found is None:
            break
        _check_size(float(found[0]))
        at = _skip(text, found.end())
    return at


def _skip(text: str, at: int) -> int:
    found = _BLANK.match(text, at)
    return found.end() if found is not None else at


def _unread(text: str, at: int) -> ShapeError:
    shown = text[at : at + 12]
    return ShapeError(f"Path data cannot be read at character {at}: {shown!r}.", where=("path",))

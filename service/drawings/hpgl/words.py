"""The instructions of an HP-GL file: mnemonics with their numbers, labels left out.

Source:
    "The HP-GL/2 and HP RTL Reference Guide", Addison-Wesley 1996: two letters, numbers separated by
    commas, blanks or signs, and a terminator that may be missing before the next letters; labels
    end with ETX unless DT says otherwise; PE holds encoded coordinates. Device instructions (ESC.)
    and changes of language (ESC%) stand between them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from service.drawings.drawing import DrawingError

_ETX = "\x03"
_BETWEEN = re.compile(r"[\s;,\x00]*")
_NUMBER = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)")
_SEPARATOR = re.compile(r"[ \t\r\n]*,?[ \t\r\n]*")
#: ESC. with a letter and numbers up to a colon; ESC% or ESC& up to a capital letter; ESC E.
#: Binary digits after the point of encoded numbers (HP-GL/2 and HP RTL reference guide, PE).
_MAX_FRACTION = 26
_ESCAPE = re.compile(
    r"\x1b(?:\.[@A-Z()](?:[-0-9;, ]*:)?|[%&*(][^A-Z\x1b]{0,20}[A-Z]|[A-Z=])(?:@PJL[^\n]*\n)*"
)
#: Instructions that carry text up to the label terminator.
LABELS = {"LB", "BL", "WD"}
_MAX_WORDS, _MAX_NUMBERS = 20_000, 40_000


_LARGEST = 1.0e9
"""More than any plotter unit: HP-GL/2 ends at 2^23 - 1. Squares of such numbers stay finite."""


@dataclass(frozen=True)
class Word:
    """An instruction, its numbers (the text of PE), and the number of its first character."""

    name: str
    values: tuple[float, ...]
    text: str
    at: int

    @property
    def place(self) -> str:
        """Return a description of the instruction and its place."""
        return f"{self.name} at character {self.at}"


def words(data: bytes) -> Iterator[Word]:
    """Yield the instructions of a file.

    Raises:
        DrawingError: at the first thing that is neither an instruction nor a number.
    """
    text = data.decode("latin-1")
    at, count, numbers, terminator = 0, 0, 0, _ETX
    while True:
        at = _skip(text, at)
        if at >= len(text):
            return
        name = text[at : at + 2].upper()
        if not (len(name) == 2 and name.isascii() and name.isalpha()):  # noqa: PLR2004 - letters
            raise DrawingError(
                f"The HP-GL cannot be read at character {at}: {text[at : at + 16]!r} is no "
                "instruction."
            )
        start, at = at, at + 2
        count += 1
        values: tuple[float, ...] = ()
        inner = ""
        if name in LABELS:
            at = _past(text, at, terminator, name)
        elif name == "DT":
            terminator, at = _terminator(text, at)
        elif name in {"PE", "CO"}:
            inner, at = _text(text, at, name)
        elif name == "SM":
            # Symbols at points: one character, or none to end them.
            inner = text[at : at + 1].strip(";")
            at += len(inner)
        else:
            values, at = _values(text, at, name)
        numbers += len(values)
        if count > _MAX_WORDS or numbers > _MAX_NUMBERS:
            raise DrawingError(
                f"HP-GL has at most {_MAX_WORDS} instructions and {_MAX_NUMBERS} numbers."
            )
        yield Word(name, values, inner, start)


def _skip(text: str, at: int) -> int:
    """Return the place past separators and escape sequences."""
    while True:
        between = _BETWEEN.match(text, at)
        at = between.end() if between is not None else at
        escape = _ESCAPE.match(text, at)
        if escape is None:
            return at
        at = escape.end()


def _past(text: str, at: int, terminator: str, name: str) -> int:
    end = text.find(terminator, at)
    if end < 0:
        raise DrawingError(
            f"{name} at character {at - 2} has no end: its terminator (ETX, or as DT says) is "
            "missing."
        )
    return end + 1


def _terminator(text: str, at: int) -> tuple[str, int]:
    """Return the terminator of labels that DT states, ETX if none."""
    found = text[at : at + 1]
    return (_ETX, at) if found in {";", ""} else (found, at + 1)


def _text(text: str, at: int, name: str) -> tuple[str, int]:
    """Return the text of an instruction up to its semicolon; a comment may be quoted."""
    if name == "CO":
        quoted = re.compile(r'\s*"[^"]*"').match(text, at)
        at = quoted.end() if quoted is not None else at
    end = text.find(";", at)
    end = len(text) if end < 0 else end
    return text[at:end], end


def _values(text: str, at: int, name: str) -> tuple[tuple[float, ...], int]:
    """Return the numbers after a mnemonic and the place past them."""
    found: list[float] = []
    while True:
        separator = _SEPARATOR.match(text, at)
        at = separator.end() if separator is not None else at
        number = _NUMBER.match(text, at)
        if number is None:
            break
        found.append(float(number[0]))
        if not abs(found[-1]) <= _LARGEST:
            raise DrawingError(f"{name} at character {at} has a number beyond {_LARGEST:g}.")
        at = number.end()
        if text[at : at + 1] in {"e", "E"} and text[at + 1 : at + 2] in set("+-0123456789"):
            raise DrawingError(
                f"{name} has a number with an exponent at character {at}, which HP-GL does not "
                "have."
            )
    return tuple(found), at


def decoded(word: Word) -> Iterator[tuple[str, float, float]]:
    """Yield the moves of an encoded polyline (PE).

    Shape:
        "up" and "down" with relative x and y, "up-to" and "down-to" with absolute ones; "pen" with
        the pen's number.

    Raises:
        DrawingError: for text that cannot be decoded.
    """
    text, at = "".join(c for c in word.text if c not in " \t\r\n"), 0
    base, fraction = 64, 0
    is_up = is_absolute = False
    waiting: list[float] = []
    while at < len(text):
        flag = text[at]
        if flag == "7":
            base, at = 32, at + 1
        elif flag == ":":
            number, at = _decoded(text, at + 1, base, word)
            yield "pen", number, 0.0
        elif flag == ">":
            number, at = _decoded(text, at + 1, base, word)
            fraction = int(number)
            if abs(fraction) > _MAX_FRACTION:
                raise DrawingError(
                    f"{word.place} asks for {fraction} binary digits after the point; HP-GL/2 has "
                    f"{_MAX_FRACTION} at most."
                )
        elif flag in "<=":
            is_up, is_absolute = is_up or flag == "<", is_absolute or flag == "="
            at += 1
        else:
            number, at = _decoded(text, at, base, word)
            waiting.append(number / 2.0**fraction)
            if len(waiting) == 2:  # noqa: PLR2004 - x and y
                kind = ("up" if is_up else "down") + ("-to" if is_absolute else "")
                yield kind, waiting[0], waiting[1]
                waiting, is_up, is_absolute = [], False, False


def _decoded(text: str, at: int, base: int, word: Word) -> tuple[float, int]:
    """Return a number of base 64 or 32, lowest digit first; the last one has a higher code."""
    value, scale = 0, 1
    while at < len(text):
        code = ord(text[at])
        # With 7 bits digits start at 63 and last digits at 95; with 8 bits these start at 191.
        last = 95 if base == 32 else 191  # noqa: PLR2004 - the base of 7 bits
        at += 1
        if last <= code < last + base:
            value += (code - last) * scale
            return (-(value // 2) if value % 2 else value // 2) * 1.0, at
        if not 63 <= code < 63 + base or scale > 2**64:  # noqa: PLR2004 - codes of digits
            break
        value += (code - 63) * scale
        scale *= base
    raise DrawingError(f"{word.place} has coordinates that cannot be decoded.")

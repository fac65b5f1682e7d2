"""Single-stroke capitals and figures, drawn by a pen in a few lines.

The letters were drawn for this project on a grid four wide and six high.
"""

from __future__ import annotations

import unicodedata

from geometry.model.outline import Chain

_WIDE, _HIGH, _SPACE = 4.0, 6.0, 2.0
#: Lines of each letter; points are pairs of digits, lines are separated by spaces.
_GLYPHS = {
    "A": "00 26 40,12 32",
    "B": "00 06 36 45 44 33 03,33 42 41 30 00",
    "C": "45 36 16 05 01 10 30 41",
    "D": "00 06 26 44 42 20 00",
    "E": "40 00 06 46,03 33",
    "F": "00 06 46,03 33",
    "G": "45 36 16 05 01 10 30 41 43 23",
    "H": "00 06,40 46,03 43",
    "I": "10 30,20 26,16 36",
    "J": "01 10 20 31 36,26 46",
    "K": "00 06,46 03 40",
    "L": "06 00 40",
    "M": "00 06 23 46 40",
    "N": "00 06 40 46",
    "O": "10 01 05 16 36 45 41 30 10",
    "P": "00 06 36 45 44 33 03",
    "Q": "10 01 05 16 36 45 41 30 10,22 40",
    "R": "00 06 36 45 44 33 03,23 40",
    "S": "01 10 30 41 42 33 13 04 05 16 36 45",
    "T": "06 46,26 20",
    "U": "06 01 10 30 41 46",
    "V": "06 20 46",
    "W": "06 10 23 30 46",
    "X": "00 46,06 40",
    "Y": "06 23 46,23 20",
    "Z": "06 46 00 40",
    "0": "10 01 05 16 36 45 41 30 10,11 35",
    "1": "05 26 20,10 30",
    "2": "05 16 36 45 44 00 40",
    "3": "05 16 36 45 44 33 42 41 30 10 01,33 23",
    "4": "30 36 02 42",
    "5": "46 06 03 34 43 41 30 10 01",
    "6": "45 36 16 05 01 10 30 41 42 33 03",
    "7": "06 46 20",
    "8": "13 04 05 16 36 45 44 33 13 02 01 10 30 41 42 33",
    "9": "01 10 30 41 45 36 16 05 04 13 43",
    "-": "13 33",
    ".": "20 21",
    "/": "00 46",
    "+": "13 33,22 24",
    "#": "10 16,30 36,02 42,04 44",
    "?": "05 16 36 45 44 23 22,20 21",
}


def writable(text: str) -> str:
    """Return a text in the available letters: capitals without accents, ``?`` for others."""
    plain = unicodedata.normalize("NFKD", text.upper())
    kept = (char for char in plain if not unicodedata.combining(char))
    return "".join(char if char in _GLYPHS or char == " " else "?" for char in kept)


def width_of(text: str, height: float) -> float:
    """Return the width of a text at a letter height, mm."""
    return (len(text) * (_WIDE + _SPACE) - _SPACE) * height / _HIGH


def letters(text: str, x: float, y: float, height: float) -> list[Chain]:
    """Return the lines of a text with its lower left corner at x, y.

    Args:
        text: as :func:`writable` returns it.
        x: left end, mm.
        y: foot of the letters, mm.
        height: of the letters, mm.
    """
    scale = height / _HIGH
    lines: list[Chain] = []
    for place, char in enumerate(text):
        left = x + place * (_WIDE + _SPACE) * scale
        for stroke in _GLYPHS.get(char, "").split(","):
            points = [(left + int(p[0]) * scale, y + int(p[1]) * scale) for p in stroke.split()]
            if len(points) > 1:
                lines.append(Chain.of(points))
    return lines

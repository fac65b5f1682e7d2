"""HP-GL interpreted: pens, pen up and pen down, absolute plotter units."""

from __future__ import annotations

from adapters.readers.strokes import ReadStroke, straight
from geometry.model.points import Point

READER = "HP-GL interpreter"


def read(data: bytes, units_per_mm: float) -> list[ReadStroke]:
    """Return the strokes of an HP-GL file, mm, y up.

    Raises:
        ValueError: for an instruction that is not part of the common core.
    """
    strokes: list[ReadStroke] = []
    at, pen = Point(0.0, 0.0), 0
    run: list[Point] = []
    for instruction in data.decode("ascii").replace("\n", "").split(";"):
        word, rest = instruction[:2], instruction[2:]
        numbers = [int(value) for value in rest.split(",")] if rest else []
        points = (
            [
                Point(x / units_per_mm, y / units_per_mm)
                for x, y in zip(numbers[::2], numbers[1::2], strict=True)
            ]
            if word in {"PU", "PD"}
            else []
        )
        if word == "PD":
            run = run or [at]
            run.extend(points)
        elif word == "PU" and len(run) > 1:
            closed = run[0] == run[-1]
            strokes.append(straight(run, closed=closed, group=str(pen)))
            run = []
        elif word == "SP":
            pen = numbers[0]
        elif word not in {"PU", "IN", ""}:
            raise ValueError(f"an instruction {word} was not expected")
        at = points[-1] if points else at
    return strokes

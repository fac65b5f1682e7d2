"""Converts machine axes back to the bed, with the reader's own arithmetic in complex numbers."""

from __future__ import annotations

from adapters.readers.strokes import ReadSegment, ReadStroke
from geometry.model.points import Point


def on_bed(
    strokes: list[ReadStroke],
    origin: str,
    turn_deg: float,
    mirror: str,
    bed: tuple[float, float],
) -> list[ReadStroke]:
    """Return strokes converted from a machine's axes to the bed, mm.

    Args:
        strokes: as read.
        origin: the corner of the bed, or its centre, that the machine calls 0,0.
        turn_deg: how far the machine's x axis is turned counter-clockwise from the bed's.
        mirror: the machine axis that is reversed: none, x or y.
        bed: width and height, mm.
    """
    across = 0.5 if origin == "centre" else float(origin.endswith("right"))
    up = 0.5 if origin == "centre" else float(origin.startswith("upper"))
    shift = complex(across * bed[0], up * bed[1])
    turn = 1j ** (int(turn_deg) // 90)

    def back(point: Point) -> Point:
        place = complex(point.x, point.y)
        if mirror == "x":
            place = -place.conjugate()
        elif mirror == "y":
            place = place.conjugate()
        place = place * turn + shift
        return Point(place.real, place.imag)

    return [
        ReadStroke(
            back(stroke.start),
            tuple(ReadSegment(back(move.middle), back(move.end)) for move in stroke.segments),
            stroke.closed,
            stroke.group,
            stroke.work,
        )
        for stroke in strokes
    ]

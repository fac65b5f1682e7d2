"""What any drawing comes to: closed outlines and open ends, in mm, y up."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from geometry.model.outline import Vertex
from geometry.model.points import distance
from geometry.shapes.custom import closed_up

#: Bytes of one file, at the most.
MOST_BYTES = 1_000_000
#: Drawn elements and segments of one file, at the most.
MOST_ELEMENTS = 2_000
MOST_SEGMENTS = 5_000
#: Ends this near, mm, are joined.
JOINED = 0.05


class DrawingError(ValueError):
    """A drawing cannot be used; the message says what is wrong and what would be right."""


@dataclass(frozen=True)
class Path:
    """One run of lines and arcs; ``group`` is its layer or group, ``name`` its own id."""

    vertices: tuple[Vertex, ...]
    group: str = ""
    name: str = ""
    closed: bool = False


@dataclass(frozen=True)
class Drawing:
    """A drawing's runs, ends joined, and what was noticed while reading."""

    format: str
    paths: tuple[Path, ...]
    notes: tuple[str, ...] = ()


def joined(paths: Iterable[Path]) -> tuple[Path, ...]:
    """Return runs with open ends of one group joined where they meet within ``JOINED`` mm.

    A run whose own ends meet is closed.
    """
    done: list[Path] = []
    open_: list[Path] = []
    for path in paths:
        (done if path.closed else open_).append(path)
    while open_:
        grown = open_.pop(0)
        again = True
        while again:
            again = False
            for index, other in enumerate(open_):
                together = _together(grown, other)
                if together is not None:
                    grown = together
                    del open_[index]
                    again = True
                    break
        ends = distance(grown.vertices[0].point, grown.vertices[-1].point)
        if len(grown.vertices) > 2 and ends <= JOINED:  # noqa: PLR2004 - a ring has two edges
            grown = Path(grown.vertices[:-1], grown.group, grown.name, closed=True)
        done.append(grown)
    return tuple(
        Path(closed_up(path.vertices), path.group, path.name, closed=True) if path.closed else path
        for path in done
    )


def _together(first: Path, second: Path) -> Path | None:
    if first.group != second.group:
        return None
    for one in (first, _backwards(first)):
        for other in (second, _backwards(second)):
            if distance(one.vertices[-1].point, other.vertices[0].point) <= JOINED:
                return Path((*one.vertices[:-1], *other.vertices), one.group, one.name)
    return None


def _backwards(path: Path) -> Path:
    bulges = [-v.bulge if v.bulge else 0.0 for v in path.vertices[:-1]][::-1]
    turned = path.vertices[::-1]
    return Path(
        tuple(v._replace(bulge=b) for v, b in zip(turned, [*bulges, 0.0], strict=True)),
        path.group,
        path.name,
    )

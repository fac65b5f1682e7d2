"""What a plotter draws: pen, moves, arcs, circles, rectangles and wedges.

Source:
    "The HP-GL/2 and HP RTL Reference Guide", Addison-Wesley 1996. A sweep is in degrees, positive
    counter-clockwise; CI, EA, ER and EW draw even with the pen up, and leave it where it was.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from geometry.errors import GeometryError
from geometry.sentences import number_of
from geometry.shapes.paths import Subpath, vertices_of
from service.drawings.drawing import (
    MAX_ELEMENTS,
    MAX_SEGMENTS,
    Drawing,
    DrawingError,
    Path,
    counted,
    joined,
    other_units,
)
from service.drawings.hpgl.instructions import LISTED, MANNERS, NOTES
from service.drawings.hpgl.scaling import PlotterScale, back, forth
from service.drawings.hpgl.shapes import arc_steps, arc_through, circle, rectangle, wedge
from service.drawings.hpgl.words import Word, decoded, words

#: mm of a plotter unit.
_UNIT_MM = 0.025


def read_hpgl(data: bytes, *, units: str | None, tolerance: float) -> Drawing:
    """Return an HP-GL drawing's paths; a pen's number is their group.

    Args:
        data: the file.
        units: units stated beside it; its own are plotter units.
        tolerance: chord tolerance of curves, mm.

    Raises:
        DrawingError: when it cannot be read, is too large, or uses unknown instructions.
    """
    plotter = _Plotter(tolerance)
    for word in words(data):
        plotter.carry_out(word)
    plotter.end_stroke()
    notes = [*other_units(units, _UNIT_MM), *plotter.notes]
    return Drawing("hpgl", joined(plotter.paths), tuple(notes), counted(plotter.skipped))


class _Plotter:
    def __init__(self, tolerance: float) -> None:
        self.paths: list[Path] = []
        self.skipped: list[str] = []
        self.notes: list[str] = []
        self._tolerance = tolerance
        self._plane = PlotterScale()
        self._pen, self._is_down, self._is_relative = 1, False, False
        self._at = 0j
        self._stroke = Subpath(0j)
        self._vertices = 0
        self._in_polygon = False
        self._kept: list[Path] | None = None
        self._do: dict[str, Callable[[Word], None]] = {
            "IN": self._reset, "DF": self._reset, "SP": self._select, "PU": self._moves,
            "PD": self._moves, "PA": self._moves, "PR": self._moves, "AA": self._arc,
            "AR": self._arc, "AT": self._three_points, "RT": self._three_points, "CI": self._circle,
            "EA": self._rectangle, "ER": self._rectangle, "EW": self._wedge, "BZ": self._bezier,
            "BR": self._bezier, "PE": self._encoded, "PM": self._polygon_mode,
            "EP": self._edge_polygon, "IP": self._input_points, "IR": self._relative_points,
            "SC": self._scale, "RO": self._rotate,
        }  # fmt: skip

    def carry_out(self, word: Word) -> None:
        """Execute one instruction.

        Raises:
            DrawingError: when it is not known, or has numbers that it cannot have.
        """
        if word.name in self._do:
            self._do[word.name](word)
        elif word.name in LISTED:
            if word.name != "SM" or word.text:
                self.skipped.append(f"{word.name} ({LISTED[word.name]})")
        elif word.name not in MANNERS:
            raise DrawingError(f"The instruction {word.place} is not known or not supported.")
        elif word.name in NOTES and word.values and NOTES[word.name] not in self.notes:
            self.notes.append(NOTES[word.name])

    # The pen and the plane

    def _reset(self, word: Word) -> None:
        self.end_stroke()
        self._plane.reset()
        self._is_relative = False
        if word.name == "IN":
            self._plane = PlotterScale()
            self._is_down, self._at = False, 0j
            self._stroke = Subpath(0j)

    def _select(self, word: Word) -> None:
        self.end_stroke()
        self._pen = int(word.values[0]) if word.values else 0
        self._stroke = Subpath(self._at)

    def _input_points(self, word: Word) -> None:
        self._change_plane(word, self._plane.input_points)

    def _scale(self, word: Word) -> None:
        self._change_plane(word, self._plane.scale)

    def _rotate(self, word: Word) -> None:
        self._change_plane(word, self._plane.rotate)

    def _relative_points(self, word: Word) -> None:
        raise DrawingError(f"{word.place} depends on the machine's sheet; use IP.")

    def _change_plane(self, word: Word, change: Callable[[Word], None]) -> None:
        """Change the plane; the pen stays where it is."""
        self.end_stroke()
        before = self._plane.matrix
        change(word)
        self._at = back(self._plane.matrix, forth(before, self._at))
        self._stroke = Subpath(self._at)

    # Moves

    def _moves(self, word: Word) -> None:
        if word.name in {"PA", "PR"}:
            self._is_relative = word.name == "PR"
        else:
            self._set_pen(is_down=word.name == "PD")
        for point in self._points(word, word.values, relative=self._is_relative):
            self._to(point)

    def _set_pen(self, *, is_down: bool) -> None:
        if is_down != self._is_down:
            self.end_stroke()
        self._is_down = is_down
        if not self._stroke.steps:
            self._stroke = Subpath(self._at)

    def _to(self, point: complex) -> None:
        if self._is_down:
            self._stroke.steps.append(("L", (point,)))
        else:
            self.end_stroke()
        self._at = point
        if not self._is_down:
            self._stroke = Subpath(point)

    def _points(self, word: Word, values: tuple[float, ...], *, relative: bool) -> list[complex]:
        if len(values) % 2:
            raise DrawingError(
                f"{word.place} has {number_of(len(values), 'number')}: an x without a y."
            )
        found, at = [], self._at
        for x, y in zip(values[::2], values[1::2], strict=True):
            at = at + complex(x, y) if relative else complex(x, y)
            found.append(at)
        return found

    def _counted(self, word: Word, *counts: int) -> tuple[float, ...]:
        if len(word.values) not in counts:
            raise DrawingError(f"{word.place} has {number_of(len(word.values), 'number')}.")
        return word.values

    # Arcs and curves

    def _arc(self, word: Word) -> None:
        x, y, sweep, *_ = self._counted(word, 3, 4)
        centre = complex(x, y) + (self._at if word.name == "AR" else 0j)
        self._swept(centre, sweep, word)

    def _swept(self, centre: complex, sweep_deg: float, word: Word) -> None:
        if abs(sweep_deg) > 360.0:  # noqa: PLR2004 - a full turn
            raise DrawingError(f"{word.place} sweeps more than a full turn.")
        steps, end = arc_steps(self._at, centre, sweep_deg)
        if self._is_down:
            self._stroke.steps.extend(steps)
            self._at = end
        else:
            self._to(end)

    def _three_points(self, word: Word) -> None:
        values = self._counted(word, 4, 5)[:4]
        middle, end = (
            complex(*values[k : k + 2]) + (self._at if word.name == "RT" else 0j) for k in (0, 2)
        )
        found = arc_through(self._at, middle, end)
        if found is None:
            self._to(end)
        else:
            self._swept(*found, word)

    def _circle(self, word: Word) -> None:
        radius = self._counted(word, 1, 2)[0]
        self._apart(circle(self._at, radius) if radius else None)

    def _rectangle(self, word: Word) -> None:
        x, y = self._counted(word, 2)
        self._apart(rectangle(self._at, complex(x, y) + (self._at if word.name == "ER" else 0j)))

    def _wedge(self, word: Word) -> None:
        radius, first, sweep, *_ = self._counted(word, 3, 4)
        self._apart(wedge(self._at, radius, first, sweep))

    def _bezier(self, word: Word) -> None:
        if len(word.values) % 6:
            raise DrawingError(f"{word.place} needs three points for each curve.")
        for k in range(0, len(word.values), 6):
            base = self._at if word.name == "BR" else 0j
            points = tuple(base + complex(*word.values[k + i : k + i + 2]) for i in range(0, 6, 2))
            if self._is_down:
                self._stroke.steps.append(("C", points))
                self._at = points[-1]
            else:
                self._to(points[-1])

    def _encoded(self, word: Word) -> None:
        """Draw an encoded polyline; the pen is down except before flagged points."""
        was_down, was_relative = self._is_down, self._is_relative
        for kind, x, y in decoded(word):
            if kind == "pen":
                self.end_stroke()
                self._pen, self._stroke = int(x), Subpath(self._at)
                continue
            self._set_pen(is_down=kind.startswith("down"))
            self._to(complex(x, y) + (0j if kind.endswith("-to") else self._at))
        self._set_pen(is_down=was_down)
        self._is_relative = was_relative

    # Polygons

    def _polygon_mode(self, word: Word) -> None:
        """Start or end the definition of a polygon, which is drawn by EP alone."""
        kind = int(word.values[0]) if word.values else 0
        if kind not in {0, 1, 2}:
            raise DrawingError(f"{word.place} has a type from 0 to 2.")
        if self._in_polygon and self._stroke.steps:
            self._stroke.closed = True
        self.end_stroke()
        if kind == 0:
            self._kept = []
        self._in_polygon = kind != 2  # noqa: PLR2004 - the end
        self._stroke = Subpath(self._at)

    def _edge_polygon(self, word: Word) -> None:
        if self._kept is None:
            raise DrawingError(f"{word.place} has no polygon defined before it (PM).")
        for path in self._kept:
            self._add(path)

    # Strokes

    def end_stroke(self) -> None:
        """End the current stroke."""
        if self._stroke.steps:
            self._draw(self._stroke)
        self._stroke = Subpath(self._at)

    def _apart(self, run: Subpath | None) -> None:
        """Draw a shape that leaves the pen as it was."""
        self.end_stroke()
        if run is not None:
            self._draw(run)
        self._stroke = Subpath(self._at)

    def _draw(self, run: Subpath) -> None:
        if self._pen == 0:
            self.skipped.append("stroke (no pen)")
            return
        try:
            vertices = vertices_of(run, self._plane.matrix, tolerance=self._tolerance)
        except GeometryError as error:
            raise DrawingError(error.message) from None
        if not all(math.isfinite(value) for vertex in vertices for value in vertex):
            raise DrawingError("A coordinate is not a finite number.")
        path = Path(tuple(vertices), f"pen {self._pen}", closed=run.closed)
        if self._in_polygon and self._kept is not None:
            self._kept.append(path)
        else:
            self._add(path)

    def _add(self, path: Path) -> None:
        self.paths.append(path)
        self._vertices += len(path.vertices)
        if len(self.paths) > MAX_ELEMENTS:
            raise DrawingError(f"A drawing has at most {MAX_ELEMENTS} strokes.")
        if self._vertices > 2 * MAX_SEGMENTS:
            raise DrawingError(f"The drawing needs more than {2 * MAX_SEGMENTS} lines and arcs.")

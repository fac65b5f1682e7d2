"""The panels of a tool path's picture, one for each station, and the signs of stops in them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from geometry.model.plan import Stroke
from geometry.model.points import Point
from geometry.toolpath.order import last_point
from service.documents.pictures.legend import octagon, octagon_corners
from service.documents.pictures.path import number
from service.documents.pictures.piece_labels import LETTERS
from service.runs.planned_run import PlannedLoad
from service.texts import gettext as _
from service.tools.stop_words import spoken_angle


@dataclass(frozen=True)
class Panel:
    """The strokes of one station, with the number of the first and the tool's previous position."""

    heading: str
    angle_deg: float | None
    strokes: Sequence[Stroke]
    first: int
    come_from: Point


def panels(load: PlannedLoad) -> Iterator[Panel]:
    """Yield the panels of a load, in the order of its stations."""
    strokes = load.planned.plan.strokes
    stations = sorted({stroke.station for stroke in strokes})
    at = Point(0.0, 0.0)
    first = 1
    for station in stations:
        own = [stroke for stroke in strokes if stroke.station == station]
        angle = next((s.angle_deg for s in own if s.angle_deg is not None), None)
        words = "" if angle is None else _("blade at {angle}", angle=spoken_angle(angle))
        if len(stations) > 1:
            words = _("Station {number}: {what}", number=station, what=words)
        yield Panel(words[:1].upper() + words[1:], angle, own, first, at)
        first += len(own)
        at = last_point(own[-1])


def octagons(load: PlannedLoad, panel: Panel, letter: float) -> Iterator[list[Point]]:
    """Yield the corners of the octagons of stops."""
    for at, text in _spots(load, panel):
        yield octagon_corners(at, _radius(text, letter))


def _radius(text: str, letter: float) -> float:
    return letter * (0.75 + 0.3 * (len(text) - 1))


def _spots(load: PlannedLoad, panel: Panel) -> Iterator[tuple[Point, str]]:
    """Yield where the tool is at each stop of this station, and the stops' numbers."""
    last = panel.first + len(panel.strokes) - 1
    whole = len(load.planned.plan.strokes)
    spots: dict[int, list[str]] = {}
    for index, stop in enumerate(load.planned.plan.stops, start=1):
        before = stop.before_stroke + 1
        if panel.first <= before <= last or (before > whole and last == whole):
            spots.setdefault(before, []).append(str(index))
    for before, names in spots.items():
        if before > last:
            at = last_point(panel.strokes[-1])
        elif before == panel.first:
            at = panel.come_from
        else:
            at = last_point(panel.strokes[before - panel.first - 1])
        yield at, "+".join(names)


def stop_signs(load: PlannedLoad, panel: Panel, letter: float) -> Iterator[str]:
    """Draw a numbered octagon at the tool's position for each stop of this station."""
    for at, text in _spots(load, panel):
        yield octagon(at, _radius(text, letter), letter)
        yield (
            f'<text transform="translate({number(at.x)} {number(at.y)}) scale(1 -1)" '
            f'y="{number(0.32 * letter)}" font-size="{number(0.9 * letter)}" {LETTERS}>'
            f"{text}</text>"
        )

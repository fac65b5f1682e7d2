"""HP-GL: the core every plotter and cutter of the kind reads.

Source:
    "The HP-GL/2 and HP RTL Reference Guide", Addison-Wesley 1996, ISBN 0-201-63325-6: the
    plotter unit is 0.025 mm; absolute integer coordinates; PU and PD take lists of points.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from typing import Any

from adapters.contract import CONTRACT, Kept, Setting, Written, resolved
from adapters.errors import CannotHoldError
from adapters.numbers import require_finite
from adapters.split import chords
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point
from geometry.units import PLOTTER_UNITS_PER_MM

#: Chords stand off their arcs by at most this, mm: well under half a plotter unit.
CHORD = 0.005
#: The integers of the classic language.
_LARGEST = 32767
#: Points in one instruction, so that a line stays within what small buffers take.
_POINTS = 40


class HpglAdapter:
    """Writes HP-GL."""

    contract = CONTRACT
    name = "hpgl"
    title = "HP-GL, plotter units"
    media_type = "application/vnd.hp-hpgl"
    extension = "plt"
    keeps: frozenset[Kept] = frozenset({"operations", "order"})
    #: Half a diagonal of the grid and the chord, and a little for the reader's arithmetic.
    resolution = 0.0177 + CHORD + 0.001
    settings: tuple[Setting, ...] = (
        Setting(
            "units_per_mm",
            "number",
            "plotter units to the millimetre",
            default=PLOTTER_UNITS_PER_MM,
            minimum=1.0,
            maximum=1000.0,
        ),
        Setting(
            "pens",
            "pens",
            "pen number for cut, score and mark",
            default={"cut": 1, "score": 2, "mark": 3},
            minimum=1,
            maximum=8,
        ),
        Setting("wide", "flag", "allow coordinates beyond 32767 plotter units", default=False),
    )

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
        """Return the plan as HP-GL.

        Raises:
            SettingError: for a setting that is unknown or out of its bounds.
            CannotHoldError: when a coordinate does not fit the classic integer range.
        """
        values = resolved(self.settings, settings, self.name)
        require_finite(plan)
        pens = {"cut": 1, "score": 2, "mark": 3, **values["pens"]}
        lines = ["IN;"]
        pen = 0
        for stroke in plan.strokes:
            if pens[stroke.operation] != pen:
                pen = pens[stroke.operation]
                lines.append(f"SP{pen};")
            lines.extend(_stroke(stroke, values["units_per_mm"], wide=values["wide"]))
        lines.append("SP0;")
        return Written(("\n".join(lines) + "\n").encode("ascii"), tuple(_losses(plan)))


def _stroke(stroke: Stroke, scale: float, *, wide: bool) -> Iterator[str]:
    # Snapped first, compared afterwards: no difference is ever rounded by itself.
    places = [_snapped(point, scale, wide=wide) for point in chords(stroke, CHORD)]
    kept = [places[0]]
    kept.extend(b for a, b in itertools.pairwise(places) if a != b)
    yield f"PU{kept[0][0]},{kept[0][1]};"
    rest = kept[1:] or kept[:1]
    for start in range(0, len(rest), _POINTS):
        yield "PD" + ",".join(f"{x},{y}" for x, y in rest[start : start + _POINTS]) + ";"
    yield "PU;"


def _snapped(point: Point, scale: float, *, wide: bool) -> tuple[int, int]:
    x, y = round(point.x * scale), round(point.y * scale)
    if not wide and max(abs(x), abs(y)) > _LARGEST:
        raise CannotHoldError(
            f"A coordinate is {max(abs(point.x), abs(point.y)):.1f} mm; HP-GL's integers end at "
            f"{_LARGEST / scale:.1f} mm. Set wide where your machine takes more.",
            format_name="hpgl",
        )
    return x, y


def _losses(plan: CutPlan) -> Iterator[str]:
    if any(vertex.bulge for stroke in plan.strokes for vertex in stroke.vertices):
        yield f"hpgl writes arcs as chords within {CHORD:g} mm, on a grid of plotter units."
    if len({stroke.station for stroke in plan.strokes}) > 1 or len(plan.stops) > 1:
        yield (
            "hpgl cannot stop the machine for the operator: cut one file a station "
            '("one_file_per": "station").'
        )


ADAPTER = HpglAdapter()

"""Strokes as rows of comma-separated points: number, operation, x, y; arcs as chords."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from adapters.plugin_api import (
    CONTRACT,
    CutPlan,
    Kept,
    Point,
    ReadStroke,
    Setting,
    Written,
    chords,
    number,
    require_finite,
    resolved,
    straight,
)

_HEAD = "stroke,operation,x_mm,y_mm"


class PointsAdapter:
    """Writes rows of points."""

    contract = CONTRACT
    name = "points"
    title = "rows of points"
    media_type = "text/csv"
    extension = "csv"
    supports: frozenset[Kept] = frozenset({"operations", "order"})
    resolution = 0.02
    settings: tuple[Setting, ...] = (
        Setting(
            "chord_mm", "number", "how far chords stand off arcs", 0.01, minimum=0.001, maximum=1
        ),
    )

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
        """Return a plan's strokes as rows."""
        values = resolved(self.settings, settings, self.name)
        require_finite(plan)
        rows = [_HEAD]
        for index, stroke in enumerate(plan.strokes):
            rows.extend(
                f"{index},{stroke.operation},{number(point.x)},{number(point.y)}"
                for point in chords(stroke, values["chord_mm"])
            )
        return Written(("\n".join(rows) + "\n").encode(), ("points holds no stops and no arcs.",))

    def read(self, data: bytes, plan: CutPlan, settings: Mapping[str, Any]) -> list[ReadStroke]:
        """Return the strokes of a file again."""
        del plan, settings
        runs: dict[int, tuple[str, list[Point]]] = {}
        for row in data.decode().splitlines()[1:]:
            index, operation, x, y = row.split(",")
            runs.setdefault(int(index), (operation, []))[1].append(Point(float(x), float(y)))
        return [
            straight(points, closed=points[0] == points[-1], group=operation)
            for operation, points in runs.values()
        ]


ADAPTER = PointsAdapter()

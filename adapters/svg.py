"""SVG 1.1: true size in millimetres, absolute commands, true arcs.

Source:
    W3C, "Scalable Vector Graphics (SVG) 1.1 (Second Edition)", 2011: chapters 7 and 8. The
    endpoint form of an arc moves its centre when a radius is rounded, so arcs are split into
    quarter turns at most before they are written.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import groupby
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from adapters.colours import TEXTS, WIDTHS, hues_of, widths_of
from adapters.contract import CONTRACT, Kept, Setting, Written, resolved
from adapters.names import layer_of, plain, xml_text
from adapters.numbers import number, require_finite
from adapters.split import short_arcs
from geometry.model.outline import Vertex, has_arcs
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point
from geometry.model.segments import Arc
from geometry.sentences import said


class SvgAdapter:
    """Writes SVG."""

    contract = CONTRACT
    name = "svg"
    title = "SVG, true size in mm"
    media_type = "image/svg+xml"
    extension = "svg"
    supports: frozenset[Kept] = frozenset({"arcs", "operations", "stations", "pieces", "order"})
    resolution = 0.001
    settings: tuple[Setting, ...] = (TEXTS, WIDTHS)

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
        """Return the plan as an SVG drawing of the bed.

        Raises:
            SettingError: for an unknown setting.
            CannotHoldError: for a coordinate that is not finite.
        """
        values = resolved(self.settings, settings, self.name)
        require_finite(plan)
        width, height = number(plan.bed_width), number(plan.bed_height)
        lines = [
            '<?xml version="1.0" encoding="UTF-8"?>',
            (
                f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width}mm" '
                f'height="{height}mm" viewBox="0 0 {width} {height}">'
            ),
        ]
        if plan.title:
            lines.append(f"<title>{escape(xml_text(plan.title))}</title>")
        lines.extend(_groups(plan, values))
        lines.append("</svg>")
        losses = (
            (said("SVG cannot stop the machine: its stops are written as descriptions only."),)
            if any(0 < stop.before_stroke < len(plan.strokes) for stop in plan.stops)
            else ()
        )
        return Written(("\n".join(lines) + "\n").encode(), losses)


def _groups(plan: CutPlan, values: Mapping[str, Any]) -> Iterator[str]:
    """Yield a group for each sequence of strokes of one kind, in cutting order.

    The id says operation and blade angle and is the same in all loads, so that software can be set
    up by it. Our own plans have one group for each.
    """
    colours, widths = hues_of(plan, values["colours"]), widths_of(plan, values["widths"])
    seen: dict[str, int] = {}
    used: dict[str, int] = {}
    numbered = enumerate(plan.strokes)
    for group, strokes in groupby(numbered, key=lambda pair: _group_of(pair[1])):
        seen[group] = seen.get(group, 0) + 1
        group_id = group if seen[group] == 1 else f"{group}-again-{seen[group]}"
        own = list(strokes)
        layer = layer_of(own[0][1])
        yield (
            f'<g id={quoteattr(group_id)} fill="none" stroke="{colours[layer]}" '
            f'stroke-width="{number(widths[layer])}">'
        )
        words = _words(plan, own[0][0], own[-1][0])
        if words:
            yield f"<desc>{escape(words)}</desc>"
        for _, stroke in own:
            identity = quoteattr(_identity(stroke, used))
            yield f'<path id={identity} d="{_data(plan, stroke)}"/>'
        yield "</g>"


def _group_of(stroke: Stroke) -> str:
    # A line-up cut comes before the creases, the other cuts after them.
    return stroke.part if stroke.part == "line-up" else layer_of(stroke)


def _words(plan: CutPlan, first: int, last: int) -> str:
    """Return the stops before these strokes, and those after the last stroke."""
    end = last + 1 if last + 1 < len(plan.strokes) else last + 2
    stops = [stop for stop in plan.stops if first <= stop.before_stroke < end]
    return " ".join(xml_text(stop.message, 200) for stop in stops)


def _identity(stroke: Stroke, used: dict[str, int]) -> str:
    base: str = stroke.part
    if stroke.placement is not None:
        base = f"{plain(stroke.piece)}-{stroke.placement + 1}"
        if stroke.part != "outline":
            base += f"-{stroke.part}"
    # Ids start with a letter and must be unique.
    base = base if base[0].isalpha() else f"p-{base}"
    used[base] = used.get(base, 0) + 1
    return base if used[base] == 1 else f"{base}.{used[base]}"


def _data(plan: CutPlan, stroke: Stroke) -> str:
    """Return path data; only here is y flipped to point down."""
    height = plan.bed_height
    if not has_arcs(stroke.vertices):
        places = [f"{number(x)} {number(height - y)}" for x, y, _ in stroke.vertices]
        return f"M{' L'.join(places)}{' Z' if stroke.closed else ''}"

    def at(point: Point | Vertex) -> str:
        return f"{number(point[0])} {number(height - point[1])}"

    first = at(stroke.vertices[0])
    parts = [f"M{first}"]
    segments = list(short_arcs(stroke))
    for index, part in enumerate(segments):
        last = stroke.closed and index == len(segments) - 1
        end = first if last else at(part.end)
        if isinstance(part, Arc):
            radius = number(part.radius)
            # Counter-clockwise with y up is a negative sweep with y down.
            parts.append(f"A{radius} {radius} 0 0 {0 if part.bulge > 0.0 else 1} {end}")
        elif not last:
            parts.append(f"L{end}")
    return " ".join([*parts, "Z"] if stroke.closed else parts)


ADAPTER = SvgAdapter()

"""Line marks: the seam line, match marks, the grain arrow, the label."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from geometry.marks.letters import letters, width_of, writable
from geometry.marks.room import is_free, middle, upright_line
from geometry.model.outline import LABEL, Chain, Mark, Operation, Outline
from geometry.model.points import Point, ahead

#: Clearance between marks and the outline or holes, mm.
MARGIN = 1.0
#: Letter heights to try, mm, and the maximum share of the piece for a label.
_HEIGHTS = (6.0, 5.0, 4.0, 3.0, 2.5, 2.0)
_SHORTEST_ARROW = 8.0


def seam_line(template: Outline, operation: Operation) -> Mark:
    """Return the template's outline as a line on its patch, drawn or creased."""
    return Mark("seam-line", operation, template)


def match_marks(template: Outline, allowances: Mapping[int, float], usual: float) -> list[Mark]:
    """Return a short line at right angles to the middle of every edge, within the seam allowance.

    It starts at the seam line and ends before the patch's edge, so that it is hidden after sewing.
    """
    marks = []
    for index, edge in enumerate(template.segments):
        wide = allowances.get(index, usual)
        if wide <= 2.0 * MARGIN:
            continue
        middle_point, outward = edge.point_at(0.5), edge.heading_at(0.5) - math.pi / 2.0
        length = min(wide - MARGIN, 4.0)
        end = ahead(middle_point, outward, length)
        marks.append(Mark("match-mark", "mark", Chain.of([middle_point, end])))
    return marks


def grain_arrow(
    outline: Outline, holes: Sequence[Outline] = (), *, one_way: bool = False
) -> list[Mark]:
    """Return an arrow along the piece's y axis, for aligning it with the lengthwise grain.

    Shape:
        A shaft with a head at both ends, or at the top alone if the piece lies one way only, as on
        dressmakers' patterns (common practice, no source); empty if there is no room for 8 mm of
        it.
    """
    at, _ = middle(outline)
    for shift in (0.0, 6.0, -6.0, 12.0, -12.0):
        shaft = upright_line(outline, Point(at.x + shift, at.y), 2.0 * MARGIN)
        if shaft is None:
            continue
        low, high = shaft.vertices[0], shaft.vertices[-1]
        mid, half = (low.y + high.y) / 2.0, 0.35 * (high.y - low.y)
        if 2.0 * half < _SHORTEST_ARROW:
            continue
        lines = _arrow(low.x, mid - half, mid + half)[: 2 if one_way else 3]
        if all(is_free(line.segments, outline, holes, MARGIN) for line in lines):
            return [Mark("grain-arrow", "mark", line) for line in lines]
    return []


def _arrow(x: float, low: float, high: float) -> list[Chain]:
    head = min(2.5, 0.15 * (high - low))
    return [
        Chain.of([(x, low), (x, high)]),
        Chain.of([(x - head, high - head), (x, high), (x + head, high - head)]),
        Chain.of([(x - head, low + head), (x, low), (x + head, low + head)]),
    ]


def label(
    outline: Outline, text: str, holes: Sequence[Outline] = (), marks: Sequence[Mark] = ()
) -> list[Mark]:
    """Return a short text in single-stroke letters inside the outline.

    Shape:
        One mark per line of a letter; empty if no size from 6 down to 2 mm fits clear of holes and
        other marks.
    """
    shown = writable(text)
    if not shown.strip():
        return []
    at, _ = middle(outline)
    taken = [mark.path.bounds for mark in marks if mark.role != "seam-line"]
    for height in _HEIGHTS:
        wide = width_of(shown, height)
        # The middle first, then the rows above and below and the positions beside it.
        for row in (0.0, -1.0, 1.0, -2.0, 2.0, -3.0, 3.0):
            for side in (0.0, -0.5, 0.5, -1.0, 1.0):
                x = at.x - wide / 2.0 + side * (wide / 2.0 + 4.0)
                y = at.y - height / 2.0 + row * (height / 2.0 + 4.0)
                box = Outline.of([(x, y), (x + wide, y), (x + wide, y + height), (x, y + height)])
                if any(_touch(box, other, MARGIN) for other in taken):
                    continue
                if is_free(box.segments, outline, holes, MARGIN):
                    return [Mark(LABEL, "mark", line) for line in letters(shown, x, y, height)]
    return []


def _touch(box: Outline, other: tuple[float, float, float, float], margin: float) -> bool:
    left, bottom, right, top = other
    mine = box.bounds
    return not (
        mine.left > right + margin
        or mine.right < left - margin
        or mine.bottom > top + margin
        or mine.top < bottom - margin
    )

"""The picture of a quilt in an answer: its one drawing, with mirrored pieces in the legend."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from geometry.model.segments import Bounds
from service.documents.pictures.fabric_legend import LegendRow, legend_width
from service.documents.sketch_document import sketch_document
from service.quilts.top_sketch import DrawnTop, legend_rows, top_sketch
from service.texts import gettext as _

#: Millimetres of a quilt per millimetre of its picture, and the smallest side of one, mm.
_SCALE, _SMALLEST = 10.0, 80.0


@dataclass(frozen=True)
class HandPair:
    """A piece that is cut in both hands: the id and number of each."""

    id: str
    count: int
    mirror_id: str
    mirror_count: int


def assembly_picture(
    top: DrawnTop,
    counts: Mapping[str, int],
    hands: Mapping[str, Sequence[HandPair]] = MappingProxyType({}),
) -> str:
    """Return the SVG picture of a quilt.

    Args:
        top: what is drawn.
        counts: number of pieces by fabric, in the order of the legend.
        hands: pieces of a fabric that are cut in both hands, which the legend counts apart.
    """
    boxes = [top.assembly.bounds, *(part.outline.bounds for part in top.borders)]
    box, rows = Bounds.around(boxes), list(_rows(counts, hands))
    wide, high = (max(_SMALLEST, side / _SCALE) for side in (box.width, box.height))
    return sketch_document(top_sketch(top, rows, (wide + legend_width(rows), high)))


def _rows(
    counts: Mapping[str, int], hands: Mapping[str, Sequence[HandPair]]
) -> Iterator[LegendRow]:
    for row in legend_rows(counts):
        yield row
        for pair in hands.get(row.fabric, ()):
            yield LegendRow(
                _(
                    "{piece}: {count}, its mirror image {mirror}: {mirror_count}",
                    piece=pair.id,
                    count=pair.count,
                    mirror=pair.mirror_id,
                    mirror_count=pair.mirror_count,
                )
            )

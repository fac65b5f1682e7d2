"""The motifs of a print in the picture of a load: those used and the rest."""

from __future__ import annotations

from collections.abc import Iterator

from service.documents.pictures.looks import MOTIF
from service.documents.pictures.path import number
from service.requests.runs import Run
from service.runs.motifs import cloth_of, visible_box


def motif_marks(run: Run) -> Iterator[str]:
    """Yield a ring about the middle of every motif on the cloth, with a line to its top."""
    if not run.anchors:
        return
    cloth = cloth_of(run)
    size = max(1.0, min(6.0, min(cloth.repeat.width, cloth.repeat.height) / 16.0))
    for each in cloth.motifs(visible_box(run)):
        place = f"translate({number(each.x)} {number(each.y)}) rotate({number(each.turn_deg, 6)})"
        yield (
            f'<g transform="{place}" {MOTIF.svg()} stroke-opacity="0.6">'
            f'<circle r="{number(size)}"/>'
            f'<path d="M0 0V{number(2.0 * size)}"/></g>'
        )

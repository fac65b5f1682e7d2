"""How rough a blade that is set by hand leaves the edges that lie off its angles."""

from __future__ import annotations

from collections.abc import Sequence

from geometry.toolpath.indexed import EdgeCut
from service.texts import gettext


def roughness_warnings(edges: Sequence[EdgeCut]) -> list[str]:
    """Return a warning for each piece with its largest mismatch."""
    worst: dict[str, EdgeCut] = {}
    for edge in edges:
        if edge.piece not in worst or edge.mismatch_deg > worst[edge.piece].mismatch_deg:
            worst[edge.piece] = edge
    return [
        gettext(
            "{what}: edges up to {mismatch_deg:g} degrees off the nearest blade angle come out in "
            "small steps, up to {edge_roughness:.2f} mm deep.",
            what=gettext("Piece {piece}", piece=piece) if piece else gettext("Common lines"),
            mismatch_deg=edge.mismatch_deg,
            edge_roughness=edge.edge_roughness,
        )
        for piece, edge in sorted(worst.items())
        if edge.mismatch_deg > 0.0
    ]

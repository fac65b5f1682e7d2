"""How things look in every picture and on the sheet: one set of colours, weights and dashes.

Widths and dashes are millimetres on paper. The tints differ in lightness too, so that a print in
grey reads the same.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from service.documents.pictures.colours import is_dark
from service.documents.pictures.path import number

INK: Final = "#1d2b2a"
#: Lines that matter less than outlines; the frame of beds; ways of the tool.
QUIET, FRAME, WAY = "#5f6f6b", "#57534a", "#a8542c"
PAPER_FILL, CLOTH_FILL = "#f6ecd2", "#d5e3df"


@dataclass(frozen=True)
class Look:
    """A fill and a line, either of which may be missing; ``width`` and ``dash`` in mm on paper."""

    fill: str | None = None
    line: str | None = INK
    width: float = 0.35
    dash: tuple[float, ...] = ()

    @property
    def outline(self) -> Look:
        """Return the line alone."""
        return replace(self, fill=None)

    def svg(self, scale: float = 1.0) -> str:
        """Return the look as attributes; ``scale`` is millimetres on paper per unit drawn."""
        parts = [f'fill="{self.fill or "none"}"']
        if self.line is not None:
            parts.append(f'stroke="{self.line}" stroke-width="{number(self.width / scale)}"')
            if self.dash:
                lengths = " ".join(number(each / scale) for each in self.dash)
                parts.append(f'stroke-dasharray="{lengths}"')
        return " ".join(parts)


BED: Final = Look("#e4e0d6", FRAME, 0.5)
SHEET: Final = Look("#fbfaf6", "#8d8778", 0.4)
CORNER: Final = Look(None, INK, 0.8)
REACH: Final = Look(None, "#8d8778", 0.4, (0.6, 1.6))
AREA: Final = Look("#ffffff", FRAME, 0.4, (3.0, 2.0))
#: A part of the work area that pieces keep out of, and what stands there.
KEPT_FREE: Final = Look("#e4e0d6", FRAME, 0.4, (3.0, 2.0))
KEEP_OUT: Final = Look("#b9b3a4", FRAME, 0.4)
TEMPLATE: Final = Look(PAPER_FILL, INK, 0.35)
PATCH: Final = Look(CLOTH_FILL, INK, 0.35)
#: The template's line within a patch, and what is marked or scored on a piece.
SEAM: Final = Look(None, QUIET, 0.3, (1.5, 1.0))
MARK: Final = Look(None, QUIET, 0.3)
ARROW: Final = Look(None, INK, 0.4)
REST: Final = Look("#e9f2e4", "#8a948f", 0.4, (0.8, 1.6))
MOTIF: Final = Look(None, "#a8456b", 0.5)
#: The first short cut, which brings a blade into line in waste.
LINE_UP: Final = Look(None, WAY, 0.7)
#: A die's nicks, where ties are snipped, and its bridges, which only its maker needs.
NICK: Final = Look(None, WAY, 0.9)
BRIDGE: Final = Look(None, "#8d8778", 0.3)
#: A piece of a fabric in a quilt or a block, whose tint is its fill; the edge of a quilt.
FABRIC: Final = Look("#ffffff", INK, 0.18)
QUILT_EDGE: Final = Look(None, INK, 0.35)
#: The edge of a printed page that is joined to others.
PAGE: Final = Look(None, "#3f6f8f", 0.45, (0.5, 1.0))
#: The end of a stroke after which the operator pauses the machine.
PAUSE: Final = Look(WAY, WAY, 0.3)
#: A dial: its ring, the level line, the blade.
RING: Final = Look("#ffffff", INK, 0.3)
LEVEL: Final = Look(None, QUIET, 0.25, (0.8, 0.8))
BLADE: Final = Look(None, INK, 0.9)


def piece_look(cut: str) -> Look:
    """Return how the pieces of a run look: paper or cloth."""
    return TEMPLATE if cut == "template" else PATCH


def hatch_look(fill: str) -> Look:
    """Return how hatching looks on a fill: dark lines, or light ones on a dark fill."""
    return Look(None, "#ffffff" if is_dark(fill) else INK, 0.12)

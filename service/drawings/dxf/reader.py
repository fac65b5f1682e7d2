"""A DXF file: its text and unit, its visible entities, and the blocks that they insert.

Source:
    "DXF Reference" for AutoCAD 2000: the header ($INSUNITS); INSERT (a copy of a block, in rows
    and columns); layers. An INSERT on a frozen layer hides all of its block, one on a layer that
    is off only the entities drawn on that layer. Entities of a block on layer 0 are drawn on the
    layer of the INSERT.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Iterator
from typing import Any

from adapters.dxf import LOADING
from service.drawings.drawing import (
    MAX_BYTES,
    MAX_ELEMENTS,
    MAX_SEGMENTS,
    UNITS_MM,
    Drawing,
    DrawingError,
    Path,
    counted,
    joined,
    other_units,
)
from service.drawings.dxf.entities import read_entity

_UNIT_MM = {
    1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 9: 0.0254, 10: 914.4, 13: 0.001, 14: 100.0,
}  # fmt: skip
#: Not geometry of a piece: skipped and listed.
_SKIPPED = {"TEXT", "MTEXT", "ATTDEF", "ATTRIB", "IMAGE", "WIPEOUT", "POINT", "VIEWPORT", "LEADER"}
_SKIPPED |= {"DIMENSION", "MULTILEADER", "TOLERANCE", "MESSAGE", "ACAD_PROXY_ENTITY"}
#: Filled areas are not cut: if an outline is to be cut, it is drawn as an entity of its own.
_FILLS = {"HATCH", "MPOLYGON", "SOLID", "TRACE"}
_INSUNITS = re.compile(r"\$INSUNITS\s*\n\s*70\s*\n\s*(\d+)")
#: Maximum number of blocks nested in each other.
_DEEPEST = 16


def read_dxf(data: bytes, *, units: str | None, tolerance: float) -> Drawing:
    """Return a DXF drawing's paths.

    Args:
        data: the file.
        units: units of its numbers where it states none (``$INSUNITS``).
        tolerance: chord tolerance of curves, mm.

    Raises:
        DrawingError: when it cannot be read, is too large, states no unit, or holds unsupported
            entities.
    """
    if len(data) > MAX_BYTES:
        raise DrawingError(f"A drawing has at most {MAX_BYTES} bytes.")
    text = _text(data)
    scale, notes = _scale(text, units)
    document = _document(text)
    reader = _Reader(document, scale, tolerance)
    reader.read(document.modelspace())
    reader.skipped.extend(_on_paper(document))
    return Drawing("dxf", joined(reader.paths), tuple(notes), counted(reader.skipped))


def _text(data: bytes) -> str:
    if data[:22] == b"AutoCAD Binary DXF\r\n\x1a\x00" or b"\x00" in data[:4096]:
        raise DrawingError("This is a binary DXF or not a DXF; save the drawing as text DXF.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", "replace")
    # ezdxf reads a text whose lines end otherwise as an empty drawing.
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _scale(text: str, units: str | None) -> tuple[float, list[str]]:
    """Return mm per unit, and a note if the file's own unit is another than the stated one."""
    # From the header's text, because the library's default without a header is metres.
    found = _INSUNITS.search(text)
    own = _UNIT_MM.get(int(found[1])) if found is not None else None
    if own is not None:
        return own, other_units(units, own)
    if units is None:
        raise DrawingError(
            'The drawing states no unit that is known ($INSUNITS 1, 2, 4, 5 or 6): state "units".'
        )
    return UNITS_MM[units], []


def _document(text: str) -> Any:  # noqa: ANN401 - ezdxf's
    with LOADING:
        from ezdxf.filemanagement import read  # noqa: PLC0415
    try:
        document = read(io.StringIO(text))
    except MemoryError:
        raise
    except Exception as bad:  # noqa: BLE001 - whatever the parser stumbles over is in the file
        raise _unreadable(bad) from None
    if "Model" not in document.layouts:
        raise DrawingError("This DXF cannot be read: its model space is missing or damaged.")
    return document


def _on_paper(document: Any) -> Iterator[str]:  # noqa: ANN401 - ezdxf's
    """Yield a name for each entity in paper space: a sheet shows the drawing at another scale."""
    for layout in document.layouts:
        if not layout.is_modelspace:
            yield from (
                f"{each.dxftype()} (on a sheet, not in the model)"
                for each in layout
                if each.dxftype() != "VIEWPORT"
            )


def _unreadable(bad: Exception) -> DrawingError:
    """Return the error of a file over which the library stumbles, in its words or in ours."""
    from ezdxf.lldxf.const import DXFError  # noqa: PLC0415 - loaded by now

    words = "it is cut short or damaged; save it again, as DXF R2000."
    if isinstance(bad, DXFError):
        words = " ".join(str(bad).split()).removeprefix("DXFStructureError: ")[:120]
    return DrawingError(f"This DXF cannot be read: {words}")


class _Reader:
    """Reads entities, and those of the blocks that they insert."""

    def __init__(self, document: Any, scale: float, tolerance: float) -> None:  # noqa: ANN401 - ezdxf's
        self.paths: list[Path] = []
        self.skipped: list[str] = []
        self._document, self._scale, self._tolerance = document, scale, tolerance
        self._entities = self._spline_points = self._vertices = 0

    def read(
        self, entities: Iterable[Any], layer: str = "0", block: str = "", depth: int = 0
    ) -> None:
        """Read entities.

        Args:
            entities: of model space, or of a block where it is inserted.
            layer: the layer on which a block's entities on layer 0 are drawn.
            block: the block's name.
            depth: number of blocks around it.

        Raises:
            DrawingError: when they cannot be read, or are too many.
        """
        try:
            for entity in entities:
                self._one(entity, layer, block, depth)
        except (DrawingError, MemoryError):
            raise
        except Exception as bad:  # noqa: BLE001 - whatever the library stumbles over is in the file
            raise _unreadable(bad) from None

    def _one(self, entity: Any, layer: str, block: str, depth: int) -> None:  # noqa: ANN401 - ezdxf's
        self._entities += 1
        if self._entities > MAX_ELEMENTS:
            raise DrawingError(f"A drawing has at most {MAX_ELEMENTS} entities, copies included.")
        kind, own = entity.dxftype(), str(entity.dxf.layer)
        drawn_on = layer if block and own == "0" else own
        reason = self._hidden(entity, drawn_on)
        # An INSERT on a layer that is off still shows its block's entities on other layers.
        if reason and not (kind == "INSERT" and reason.endswith(" is off")):
            self.skipped.append(f"{kind} ({reason})")
        elif kind in _SKIPPED:
            self.skipped.append(kind)
        elif kind in _FILLS:
            self.skipped.append(f"{kind} (a fill)")
        elif kind == "INSERT":
            self._insert(entity, drawn_on, depth)
        else:
            self._drawn(entity, drawn_on, block)

    def _hidden(self, entity: Any, name: str) -> str:  # noqa: ANN401 - ezdxf's
        """Return why an entity is hidden, and so no part of the drawing; empty if it is shown."""
        if entity.dxf.get("invisible", 0):
            return "invisible"
        layers = self._document.layers
        layer = layers.get(name) if name in layers else None
        if layer is not None and (layer.is_off() or layer.is_frozen()):
            return f"layer {name[:40]} is {'frozen' if layer.is_frozen() else 'off'}"
        return ""

    def _insert(self, insert: Any, layer: str, depth: int) -> None:  # noqa: ANN401 - ezdxf's
        """Read the copies of a block."""
        name = str(insert.dxf.name)
        place = f"The INSERT of block {name[:40]} (layer {layer[:40]})"
        block = insert.block()
        if block is None:
            raise DrawingError(f"{place} has no block of that name in this file.")
        if block.block.dxf.flags & 12:  # external reference, or overlaid one
            raise DrawingError(f"{place} is a reference to another file; bind it.")
        if depth >= _DEEPEST:
            raise DrawingError(f"{place} inserts itself or is nested deeper than {_DEEPEST}.")
        self.skipped.extend("ATTRIB" for _ in insert.attribs)
        copies = insert.multi_insert() if insert.mcount > 1 else [insert]
        for copy in copies:
            # Counted, because an empty block may have copies without end.
            self._entities += 1
            if self._entities > MAX_ELEMENTS:
                raise DrawingError(
                    f"{place} has too many copies: a drawing has at most {MAX_ELEMENTS} entities, "
                    "copies included."
                )
            parts = copy.virtual_entities(skipped_entity_callback=self._left_out)
            self.read(parts, layer, name, depth + 1)

    def _left_out(self, entity: Any, _: str) -> None:  # noqa: ANN401 - ezdxf's
        """List a part of a block that cannot be scaled as its copy is."""
        if entity.dxftype() not in _SKIPPED | _FILLS:
            raise DrawingError(
                f"A {entity.dxftype()} of a block cannot be scaled as its copy; explode the block."
            )
        self.skipped.append(entity.dxftype())

    def _drawn(self, entity: Any, layer: str, block: str) -> None:  # noqa: ANN401 - ezdxf's
        if entity.dxftype() == "SPLINE":
            self._spline_points += len(entity.control_points) + len(entity.fit_points)
            if self._spline_points > MAX_SEGMENTS:
                raise DrawingError(f"A drawing's splines have at most {MAX_SEGMENTS} points.")
        name = block or str(entity.dxf.handle or "")
        self.paths.append(read_entity(entity, layer, name, self._scale, self._tolerance))
        self._vertices += len(self.paths[-1].vertices)
        if self._vertices > 2 * MAX_SEGMENTS:
            raise DrawingError(f"The drawing needs more than {2 * MAX_SEGMENTS} lines and arcs.")

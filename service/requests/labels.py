"""Labels: the sheet that they are printed on, and what their square code leads to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from marshmallow import fields, post_load, validate, validates_schema

from geometry.sentences import number_of
from service.schemas.errors import raise_together, unusable
from service.schemas.fields import Int, Length, Strict, Text

#: Width and height of papers, mm (ISO 216; ANSI/ASME Y14.1).
PAPERS_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
#: What a link says in place of the kit's number.
NUMBER = "{number}"
MAX_LINK = 80
"""Characters of a link: its code stays small enough for a label of the smallest height."""
MIN_LABEL_MM = (50.0, 20.0)
"""Smallest width and height of a label."""
#: Lengths that are written in fractions of an inch or tenths of a millimetre, mm.
_ROUNDING = 0.2


@dataclass(frozen=True)
class LabelSheet:
    """A page of equal labels, mm: the label's size, how many, and the first one's place.

    ``left`` and ``top`` are the distances of the first label from the paper's edges.
    """

    paper: str
    width: float
    height: float
    columns: int
    rows: int
    left: float
    top: float
    column_gap: float = 0.0
    row_gap: float = 0.0


@dataclass(frozen=True)
class Labels:
    """How a kit's labels are printed; ``link`` is what the code says, empty for the number."""

    sheet: LabelSheet | None = None
    link: str = ""

    def code(self, number: str) -> str:
        """Return what the square code says for a kit's number."""
        return self.link.replace(NUMBER, number) if self.link else number


PLAIN = Labels()
"""Labels on plain paper, with the kit's number in their code."""


class LabelSheetSchema(Strict):
    """A sheet of labels by its measures, as its maker states them."""

    paper = fields.String(required=True, validate=validate.OneOf(sorted(PAPERS_MM)))
    width = Length(required=True, min_mm=MIN_LABEL_MM[0], metadata={"description": "of a label"})
    height = Length(required=True, min_mm=MIN_LABEL_MM[1], metadata={"description": "of a label"})
    columns = Int(required=True, validate=validate.Range(1, 5))
    rows = Int(required=True, validate=validate.Range(1, 15))
    left = Length(
        metadata={"description": "from the paper's edge to the first label; centred when left out"}
    )
    top = Length(
        metadata={"description": "from the paper's edge to the first label; centred when left out"}
    )
    column_gap = Length(load_default=0.0, metadata={"description": "between neighbours"})
    row_gap = Length(load_default=0.0, metadata={"description": "between neighbours"})

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> LabelSheet:  # noqa: ANN401
        paper = PAPERS_MM[data["paper"]]
        errors = []
        for side, count, size, gap, free in (
            ("left", "columns", "width", "column_gap", paper[0]),
            ("top", "rows", "height", "row_gap", paper[1]),
        ):
            used = data[count] * data[size] + (data[count] - 1) * data[gap]
            start = data.setdefault(side, max(0.0, (free - used) / 2.0))
            if start + used > free + _ROUNDING:
                errors.append(
                    unusable(
                        f"{number_of(data[count], 'label')}, the gaps between them and "
                        f"the distance from the edge take {start + used:g} mm; the paper has "
                        f"{free:g} mm.",
                        count,
                    )
                )
        raise_together(errors)
        return LabelSheet(**data)


class LabelsSchema(Strict):
    """How labels are printed: on which sheet, and what their square code says."""

    sheet = fields.Nested(
        LabelSheetSchema,
        metadata={"description": "plain paper to be cut apart when left out"},
    )
    link = Text(
        MAX_LINK,
        metadata={
            "description": "address that the square code on a label leads to, with {number} in "
            "place of the kit's number; the number itself when left out",
            "example": "https://studio.example/kits?number={number}",
        },
    )

    @validates_schema
    def _is_an_address(self, data: dict[str, Any], **_: Any) -> None:  # noqa: ANN401
        link = data.get("link", "")
        if link and not (link.isascii() and link.startswith(("http://", "https://"))):
            raise unusable("A link begins with http:// or https:// and is in ASCII.", "link")
        # Braces stand in no address, so these are a misspelt place for the number.
        if set("{}") & set(link.replace("{number}", "")):
            raise unusable(
                "The kit's number stands for {number}; write no other braces in a link.", "link"
            )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Labels:  # noqa: ANN401
        return Labels(**data)

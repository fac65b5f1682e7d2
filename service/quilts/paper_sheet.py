"""Templates and their sheets on the sheet of a planned quilt, in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from service.answers.quilts import PaperAnswer
from service.quilts.length_text import sides_text
from service.texts import gettext as _
from service.texts import gettext_noop as _later
from service.texts import ngettext

_NAMES = {"a4": _later("A4"), "letter": _later("letter")}


def template_facts(paper: PaperAnswer, units: str) -> Iterator[tuple[str, str]]:
    """Yield the templates and the sheets of each size that they take."""
    sheets = Counter[tuple[float, float] | None]()
    for row in paper.rows:
        larger = row.sheet_width_mm, row.sheet_height_mm
        sheets[None if larger[0] is None or larger[1] is None else (larger[0], larger[1])] += (
            row.sheets
        )
    words = [ngettext("{n} template", "{n} templates", paper.templates)]
    for size, count in sheets.items():
        words.append(
            ngettext(
                "{n} sheet of {name}",
                "{n} sheets of {name}",
                count,
                name=_name(paper, units) if size is None else sides_text(*size, units),
            )
        )
    if len(paper.rows) > 1:
        words.append(_("each shape and size on sheets of its own"))
    yield _("Templates"), ", ".join(words)


def _name(paper: PaperAnswer, units: str) -> str:
    """Return what the usual sheet is called; one of a stated size by that size."""
    if paper.sheet in _NAMES:
        return _(_NAMES[paper.sheet])
    return sides_text(paper.width_mm, paper.height_mm, units)

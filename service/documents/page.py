"""A printed page of sections, independent of its form: quotes, cutting instructions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.documents.pictures.strips import DrawnStrip
from service.documents.sketch import Sketch


@dataclass(frozen=True)
class PageSection:
    """One part of a page.

    Args:
        title: its heading; empty for none.
        facts: labels and texts.
        amounts: labels and texts in large type.
        sketch: a drawing below them.
        heads: of the columns of a table.
        rows: of the table.
        items: a list of sentences.
        strips: drawn below, all in one scale.
    """

    title: str = ""
    facts: tuple[tuple[str, str], ...] = ()
    amounts: tuple[tuple[str, str], ...] = ()
    sketch: Sketch | None = None
    heads: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    items: tuple[str, ...] = ()
    strips: tuple[DrawnStrip, ...] = ()


@dataclass(frozen=True)
class Page:
    """A printed page, or several; ``paper`` is ``letter`` or ``a4``, ``number`` a kit's."""

    title: str
    paper: str
    sections: tuple[PageSection, ...]
    number: str = ""
    language: str = "en"


def page_text(page: Page) -> str:
    """Return a page as plain text, without drawings."""
    return "\n".join(_lines(page)) + "\n"


def _lines(page: Page) -> Iterator[str]:
    yield page.title
    for section in page.sections:
        yield ""
        if section.title:
            yield section.title
            yield "-" * len(section.title)
        for label, text in (*section.facts, *section.amounts):
            yield f"{label}: {text}"
        yield from (" | ".join(row) for row in (section.heads, *section.rows) if row)
        yield from (f"- {each}" for each in section.items)

"""Two columns of a sheet: each begins with a heading, so that no line stands without its own."""

from __future__ import annotations

from typing import Any

import pytest
from reportlab.platypus import KeepTogether

from service.documents.columns import ColumnSection, in_columns, kept_with
from service.documents.plain import paragraph
from service.documents.typesetting import BODY, HEAD

WIDTH = 500.0


def section(title: str, lines: int) -> ColumnSection:
    return ColumnSection(title, tuple(paragraph(f"{title} {at}", BODY) for at in range(lines)))


def columns(*sections: ColumnSection) -> tuple[list[str], list[str]]:
    """Return the lines of both columns."""
    table: Any = in_columns(sections, WIDTH)
    ((left, _, right),) = table._cellvalues
    first, second = ([each.getPlainText() for each in column] for column in (left, right))
    return first, second


def test_a_column_begins_with_a_section_where_that_is_about_even() -> None:
    """Six lines and six: neither list is torn."""
    first, second = columns(section("Prepare", 6), section("Test cut", 6))
    assert (first[0], second[0]) == ("Prepare", "Test cut")
    assert (len(first), len(second)) == (7, 7)


def test_a_long_list_goes_on_below_its_heading() -> None:
    """Twenty lines and one: 21 lines and a heading high as they are, half of that when torn."""
    first, second = columns(section("Prepare", 20), section("Test cut", 1))
    assert first[0] == "Prepare"
    assert second[0] == "Prepare (continued)"
    assert [
        each for each in (*first, *second) if each.startswith("Prepare ") and "(" not in each
    ] == [f"Prepare {at}" for at in range(20)]
    assert second[-2:] == ["Test cut", "Test cut 0"]


@pytest.mark.parametrize(("lines", "is_kept"), [(6, True), (200, False)])
def test_a_heading_stays_with_its_columns_where_a_page_holds_both(
    lines: int, is_kept: bool
) -> None:
    """Two hundred lines of 12 points take 1200 in each of two columns: more than a page has."""
    below = in_columns([section("Prepare", lines), section("Test cut", lines)], WIDTH)
    found = kept_with([paragraph("Run 1", HEAD)], below, WIDTH)
    assert isinstance(found[0], KeepTogether) == is_kept

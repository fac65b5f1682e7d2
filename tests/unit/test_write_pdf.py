"""The structure of PDF files, read by a library that did not write them.

Source:
    ISO 32000-1:2008: 7.5.2 (header), 8.11.2 to 8.11.4 (optional content groups and how viewers
    list them), 14.6 (marked content, which begins with BDC and ends with EMC).
"""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pypdf
import pytest
from pypdf.generic import ContentStream

from adapters.pdf import ADAPTER
from adapters.sample import sample_plan
from geometry.model.outline import Operation, Vertex
from geometry.model.plan import CutPlan, Stroke


def line(operation: Operation, x: float, *, length: float = 10.0) -> Stroke:
    return Stroke(operation, (Vertex(x, 5), Vertex(x + length, 5)), False)


def plan(*strokes: Stroke, width: float = 100.0) -> CutPlan:
    return replace(sample_plan(), bed_width=width, bed_height=60.0, strokes=strokes, stops=())


def read(made: CutPlan) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(ADAPTER.write(made, {}).data), strict=True)


def operations(reader: pypdf.PdfReader, page: int) -> list[tuple[list[Any], bytes]]:
    return ContentStream(reader.pages[page].get_contents(), reader).operations


#: A cut between two marks: two layers, in the order in which they first come.
THREE = plan(line("mark", 10), line("cut", 30), line("mark", 50))


def test_layers_as_viewers_list_them() -> None:
    reader = read(THREE)
    root: Any = reader.trailer["/Root"]
    properties = root["/OCProperties"]
    groups = [each.get_object() for each in properties["/OCGs"]]
    assert [dict(each) for each in groups] == [
        {"/Type": "/OCG", "/Name": "mark"},
        {"/Type": "/OCG", "/Name": "cut"},
    ]
    # Both are listed, in that order, and shown when the file opens.
    shown = properties["/D"]
    for name in ("/Order", "/ON"):
        assert [each.get_object() for each in shown[name]] == groups
    # A page calls them by these names; the first is the check page, which has none.
    named: Any = reader.pages[1]["/Resources"]
    assert {name: each.get_object() for name, each in named["/Properties"].items()} == {
        "/mark": groups[0],
        "/cut": groups[1],
    }


def test_a_page_opens_a_layer_for_the_strokes_on_it_and_closes_it() -> None:
    begun: list[str] = []
    depth = deepest = 0
    for operands, operator in operations(read(THREE), 1):
        if operator == b"BDC":
            depth += 1
            if operands[0] == "/OC":
                begun.append(operands[1])
        elif operator == b"EMC":
            depth -= 1
            assert depth >= 0
        deepest = max(deepest, depth)
    assert begun == ["/mark", "/cut", "/mark"]
    # The part of the bed, a layer in it, a stroke in that.
    assert (depth, deepest) == (0, 3)


def test_each_page_knows_the_layers_and_its_number() -> None:
    """A line of 400 mm takes two letter pages (11 in: 279.4 mm)."""
    reader = read(plan(line("cut", 10, length=400), width=500.0))
    assert len(reader.pages) == 3
    for number, page in enumerate(reader.pages[1:], start=1):
        resources: Any = page["/Resources"]
        assert list(resources["/Properties"]) == ["/cut"]
        assert f"page {number} of 2 (row 1, column {number})" in page.extract_text()
    check: Any = reader.pages[0]["/Resources"]
    assert "/Properties" not in check
    assert "page 1 of 1" in read(THREE).pages[1].extract_text()


def test_the_title_of_a_file() -> None:
    for title, shown in (("Kite", "Kite"), ("", "cut plan")):
        found = read(replace(THREE, title=title)).metadata
        assert found is not None
        assert found.title == shown


def test_pages_are_compressed_once() -> None:
    """In letters, they would take a quarter more bytes."""
    for page in read(THREE).pages:
        contents: Any = page["/Contents"]
        assert contents["/Filter"] in ("/FlateDecode", ["/FlateDecode"])


def test_a_closed_line_returns_to_its_start_by_the_operator_that_joins_its_ends() -> None:
    """``l`` to the start and then ``h`` would add a line of no length (8.5.2.1)."""
    square = tuple(Vertex(x, y) for x, y in ((10, 10), (40, 10), (40, 40), (10, 40)))
    made = operations(read(plan(Stroke("cut", square, closed=True))), 1)
    ways = b" ".join(operator for _, operator in made if operator in {b"m", b"l", b"h", b"S"})
    assert ways == b"m l l l h S"


def test_what_a_printed_plan_loses() -> None:
    arcs = "PDF draws arcs as cubic curves within 0.002 mm."
    stops = "PDF files hold no stops: the run sheet lists them."
    sample = sample_plan()
    assert ADAPTER.write(sample, {}).losses == (arcs, stops)
    assert ADAPTER.write(replace(sample, stops=sample.stops[:1]), {}).losses == (arcs,)
    assert ADAPTER.write(replace(THREE, stops=sample.stops), {}).losses == (stops,)
    assert ADAPTER.write(THREE, {}).losses == ()


def test_the_version_that_keeps_viewers_from_scaling() -> None:
    """``PrintScaling`` came with version 1.6 (12.2)."""
    assert ADAPTER.write(THREE, {}).data.startswith(b"%PDF-1.6")
    root: Any = read(THREE).trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_a_piece_longer_than_a_page_is_named_as_joined() -> None:
    """A line of 400 mm lies on two letter pages (11 in: 279.4 mm), a short one whole on one."""
    long = replace(line("cut", 10, length=400), piece="Sail", placement=0)
    short = replace(line("cut", 10), piece="Oar", placement=1)
    made = ADAPTER.write(plan(long, replace(short, vertices=(Vertex(450, 5), Vertex(460, 5))),
                              width=500.0), {})  # fmt: skip
    (note,) = made.bench
    assert note.startswith("Join pages 1 and 2 for Sail, larger than a page.")
    assert "Oar" not in str(note)
    check = pypdf.PdfReader(io.BytesIO(made.data)).pages[0].extract_text()
    assert "Sail" in check
    assert "Oar" not in check
    assert ADAPTER.write(plan(line("cut", 10)), {}).bench == ()


@pytest.mark.parametrize(
    ("units", "spacing"), [("in", 72 / 8), ("mm", 72 / 25.4), ("cm", 72 / 25.4)]
)
def test_the_rulers_of_the_check_page(units: str, spacing: float) -> None:
    """Upright strokes of a ruler stand an eighth of an inch or a millimetre apart."""
    reader = pypdf.PdfReader(io.BytesIO(ADAPTER.write(THREE, {"units": units}).data))
    rows: dict[float, list[float]] = {}
    at = (0.0, 0.0)
    for operands, operator in operations(reader, 0):
        if operator == b"m":
            at = (float(operands[0]), float(operands[1]))
        elif operator == b"l" and float(operands[0]) == at[0]:
            rows.setdefault(min(at[1], float(operands[1])), []).append(at[0])
    longest: list[float] = max(rows.values(), key=len)
    ruler = sorted(set(longest))
    assert len(ruler) > 20
    assert [b - a for a, b in pairwise(ruler)] == pytest.approx(
        [spacing] * (len(ruler) - 1), abs=0.002
    )

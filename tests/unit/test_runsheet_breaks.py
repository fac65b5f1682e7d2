"""Sheets and labels come out wherever their pages end and however much stands on them."""

from __future__ import annotations

import functools
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from html import unescape
from typing import Any

import pypdfium2
import pytest
from reportlab.platypus import Flowable, KeepTogether, Spacer

from service.app import create_app
from service.documents import pdf
from service.documents.html import run_sheet_html
from service.documents.labels import labels_pdf
from service.documents.model import RunSheet
from service.documents.pdf import run_sheet_pdf, story
from service.documents.text import run_sheet_text
from service.documents.typesetting import MARGIN, PAPERS, typeset
from service.schemas.units_in_text import in_one_unit
from service.settings import Settings
from service.tools.built_in import BUILT_IN
from tests import requested
from tests.short_form import short_form

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester

_PIECE = {"id": "A", "shape": {"kind": "hexagon", "side": "1"}, "quantity": 8}
_RUN: dict[str, Any] = {
    "cut": "patch",
    "cutter": "indexed-blade-hoop",
    "formats": ["svg"],
    "layers": 4,
    "effort": "quick",
    "material": {"name": "blue cotton", "kind": "stiffened_fabric"},
}
_KIT = {"title": "Slipway sampler", "units": "in", "pieces": [_PIECE], "runs": [_RUN]}


@functools.cache
def _sheet() -> RunSheet:
    """Return a sheet whose every list has items of one, two and several lines."""
    found, _made = requested.run_sheet(_KIT)
    long = tuple(f"A line of {words} words" + " goes on" * words for words in (1, 18, 40))
    run = found.runs[0]
    return replace(
        found,
        warnings=(*found.warnings, *long),
        runs=(replace(run, preparation=(*run.preparation, *long), remedies=long),),
    )


def _words(data: bytes) -> Counter[str]:
    """Return the words of a PDF, footers apart, as a reader that is not the writer finds them."""
    document = pypdfium2.PdfDocument(data)
    found: Counter[str] = Counter()
    for page in document:
        height = page.get_height()
        text = page.get_textpage().get_text_bounded(bottom=MARGIN + 6, top=height)
        found.update(text.replace("\ufffe", "-").split())
    return found


def _heights(step: float) -> Iterator[float]:
    paper = PAPERS["letter"][1]
    count = int((paper - 2 * MARGIN - 30) / step)
    return (step * index for index in range(count))


def _pushed_down(height: float) -> list[Flowable]:
    return [Spacer(1, height), *story(_sheet())]


def _same_at_every_height(step: float) -> None:
    whole = _words(typeset(_sheet(), story(_sheet())))
    for height in _heights(step):
        assert _words(typeset(_sheet(), _pushed_down(height))) == whole, height


def test_a_page_may_end_anywhere() -> None:
    # A third of a line: each item of each list is once cut by the page's end.
    _same_at_every_height(9.0)


def test_a_load_that_just_fits_stays_together() -> None:
    """A load that needs all of what is left of a page keeps its last step there, or moves whole.

    The space above its heading counts too.
    """
    # The first that is kept together is what is read before cutting.
    kept = [each for each in story(_sheet()) if isinstance(each, KeepTogether)]
    load = next(each for each in kept if "cotton, load 1" in str(each))
    found = set()
    for height in range(200, 400, 5):
        data = typeset(_sheet(), [Spacer(1, height), load])
        texts = [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(data)]
        pages = [[word in text for text in texts] for word in ("cotton, load 1", "pieces out")]
        assert pages[0] == pages[1], height
        found.add(tuple(pages[0]))
    assert found == {(True,), (False, True)}


@pytest.mark.long
@pytest.mark.timeout(900)
def test_a_page_may_end_at_every_point() -> None:
    _same_at_every_height(1.0)


def _many(count: int) -> RunSheet:
    sheet = _sheet()
    run = sheet.runs[0]
    load = run.loads[0]
    counts = tuple((f"piece-{number}", number) for number in range(count))
    files = tuple(f"1-patch-blue-cotton-1-station-{number}.svg" for number in range(count))
    crowded = replace(load, pieces=counts, files=files, stops=load.stops * count)
    lengths = ", ".join(f"load {number}: 431.80 mm" for number in range(1, count + 1))
    facts = (*run.facts, ("Roll", f"1117.60 mm wide; draw off 900 m in all ({lengths})"))
    return replace(sheet, runs=(replace(run, loads=(crowded,), facts=facts),))


@pytest.mark.parametrize("count", short_form([1, 6, 8, 20, 60, 200], [1, 6, 8, 20, 60]))
def test_no_number_of_pieces_files_stops_and_loads_is_too_tall(count: int) -> None:
    words = _words(run_sheet_pdf(_many(count)))
    assert words["piece-0"] == 1
    assert words[f"piece-{count - 1}"] == 1
    assert words[f"{count}:"] >= 1
    assert sum(n for word, n in words.items() if re.match(r"1-patch-blue", word)) == count


def test_labels_come_out_for_any_number_of_pieces_and_any_title() -> None:
    sheet = _sheet()
    run = sheet.runs[0]
    for count in (1, 9, 10, 11, 20, 21):
        runs = tuple(replace(run, material="m" * length) for length in range(0, 4 * count, 4))
        many = replace(sheet, runs=runs, title="W" * count)
        assert len(pypdfium2.PdfDocument(labels_pdf(many))) == -(-count // 10)


def test_a_title_of_any_length_is_on_a_label_whole() -> None:
    for length in (30, 60, 120):
        pages = pypdfium2.PdfDocument(labels_pdf(replace(_sheet(), title="W" * length)))
        text = "".join(page.get_textpage().get_text_range() for page in pages)
        labels = sum(len(run.portions) for run in _sheet().runs)
        # A kit's number may have the letter, too.
        assert re.sub(r"Kit \S+", "", text).count("W") == length * labels


def _broken(*_: Any) -> Any:
    raise RuntimeError("the typesetter fell over")


def _said(warnings: list[str]) -> list[str]:
    """Return what warnings say on a sheet: without their run's number, and in one unit."""
    return [in_one_unit(re.sub(r"^Run \d+: ", "", each)) for each in warnings]


def test_where_typesetting_fails_the_kit_is_made_with_plain_text(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("service.documents.pdf.run_sheet_pdf", _broken)
    monkeypatch.setattr("service.documents.labels.labels_pdf", _broken)
    made = requested.kit(_KIT, BUILT_IN.get, read_back=False)
    assert made.answer["run_sheet"] == "files/run-sheet.txt"
    assert made.answer["labels"] == "files/labels.txt"
    assert "run-sheet.pdf" not in made.files
    text = " ".join(made.files["run-sheet.txt"].decode("utf-8-sig").split())
    for said in (*made.answer["cautions"], *_said(made.answer["warnings"][:-1]), "blue cotton"):
        assert said in text
    assert any("run-sheet.txt" in warning for warning in made.answer["warnings"])
    assert any("labels.txt" in warning for warning in made.answer["warnings"])
    assert "run-sheet.txt" in made.files["run-sheet.html"].decode()
    assert b"8 patches" in made.files["labels.txt"]


def test_cautions_stand_before_anything_to_be_done_in_plain_text() -> None:
    text = run_sheet_text(_sheet())
    first_caution = " ".join(_sheet().cautions[0].split()[:6])
    assert text.index(first_caution) < text.index("Run 1")


def test_cautions_stand_before_anything_to_be_done_on_the_pdf_and_the_page() -> None:
    pages = [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(
        run_sheet_pdf(_sheet()))]  # fmt: skip
    html = unescape(run_sheet_html(_sheet()))
    for text in (" ".join(pages), html.partition("<body>")[2]):
        plain = " ".join(text.replace("\ufffe", "-").split())
        # The check asks for a test cut: it comes after them too.
        first_step = min(plain.index("Check this print first."), plain.index("Run 1"))
        for caution in _sheet().cautions:
            start = " ".join(caution.split()[:4])
            assert plain.index(start) < first_step, caution
        assert plain.count("Cautions") == 1


def test_plain_text_is_served_as_such(
    monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory
) -> None:
    monkeypatch.setattr(pdf, "run_sheet_pdf", _broken)
    # In this process, where the typesetting is changed.
    monkeypatch.setattr("service.sandbox.run.is_here", lambda **_: True)
    settings = Settings(data=tmp_path_factory.mktemp("data"), compute_seconds=600)
    client = create_app(settings).test_client()
    made = client.post("/v1/kits", json=_KIT)
    assert made.status_code == 201, made.get_data(as_text=True)
    found = client.get(made.get_json()["run_sheet"], headers={"Accept": "text/plain"})
    assert found.status_code == 200
    assert found.mimetype == "text/plain"

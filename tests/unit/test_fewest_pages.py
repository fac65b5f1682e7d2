"""The bound on a sheet's pages: never more than it takes with the smallest pictures."""

from __future__ import annotations

import functools
from dataclasses import replace
from typing import Any

import pytest

from service.documents import pdf
from service.documents.kept_flowables import KeptFlowables
from service.documents.load_arrangement import HEIGHTS, LoadArrangement
from service.documents.model import RunSheet
from service.documents.page_frames import MeasuringFrame
from service.documents.typesetting import noted_pages
from tests import requested

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester

#: One load each: on a wide bed, on a tall one with many files, by a blade that is turned by hand.
_RUNS: dict[str, dict[str, Any]] = {
    "wide": {"cutter": "laser-bed", "material": {"kind": "card"}},
    "tall": {"cutter": "pen-sheet", "formats": ["svg", "dxf", "pdf", "hpgl"]},
    "stops": {"cutter": "indexed-blade-hoop", "formats": ["svg"], "layers": 2},
}


@functools.cache
def _sheet(name: str) -> RunSheet:
    piece = {"id": "A", "shape": {"kind": "hexagon", "side": "20 mm"}, "quantity": 6}
    body = {"units": "mm", "pieces": [piece], "runs": [{"cut": "patch", **_RUNS[name]}]}
    found, _made = requested.run_sheet(body)
    assert len(found.runs[0].loads) == 1
    return found


def _with_lines(sheet: RunSheet, count: int) -> RunSheet:
    lines = tuple(f"Line {number}" + " goes on" * (number % 20) for number in range(count))
    run = replace(sheet.runs[0], warnings=lines[: count // 3], remedies=lines[count // 2 :])
    return replace(sheet, warnings=lines, runs=(run,))


@pytest.mark.parametrize("name", sorted(_RUNS))
def test_no_size_of_pictures_takes_fewer_pages(name: str) -> None:
    is_sure = []
    for count in range(0, 80, 5):
        sheet = _with_lines(_sheet(name), count)
        least: dict[Any, int] = {}
        look = LoadArrangement(HEIGHTS[0])
        pages = noted_pages(sheet, pdf.story(sheet, look=look), least=least)
        smallest = noted_pages(sheet, pdf.story(sheet, look=LoadArrangement(HEIGHTS[-1])))
        # Of the whole: what comes before a load differs where free room is filled.
        assert smallest[pdf._LAST] >= least[pdf._LAST], count
        is_sure.append(pages[pdf._LAST] == least[pdf._LAST] > 1)
    assert any(is_sure)


@pytest.mark.parametrize("name", sorted(_RUNS))
def test_the_sheet_is_the_same_without_the_bound(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheets = [_with_lines(_sheet(name), count) for count in (0, 4, 9, 14, 20)]
    bounded = [pdf.run_sheet_pdf(sheet) for sheet in sheets]
    monkeypatch.setattr(MeasuringFrame, "min_pages", lambda _: 1)
    assert [pdf.run_sheet_pdf(sheet) for sheet in sheets] == bounded


@pytest.mark.parametrize("count", [0, 25, 60])
def test_flowables_that_are_kept_take_the_same_pages_again(count: int) -> None:
    one, two = (_with_lines(_sheet(name), count) for name in sorted(_RUNS)[:2])
    sheet = replace(one, runs=(*one.runs, *two.runs))
    looks = [LoadArrangement(high, 0, scale) for scale in (1.0, 0.9) for high in HEIGHTS[::3]]
    kept = KeptFlowables()
    # Each is set again with what the one before left of the parts that both share.
    again = [pdf._noted(sheet, look, kept) for look in (*looks, *looks)]
    afresh = [pdf._noted(sheet, look, KeptFlowables()) for look in looks]
    assert again == afresh * 2

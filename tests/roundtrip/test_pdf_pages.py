"""PDF as it is printed: paper sizes, the check page, several pages joined by their crosses.

By pdfium and poppler. Pages are put together by nothing but the crosses that bear the same name,
as a person would, and must then show the plan.
"""

from __future__ import annotations

import ctypes
import io
import itertools
import math
import re
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pypdf
import pypdfium2
import pytest
from pypdfium2 import raw

from adapters import registry
from adapters.errors import CannotHoldError
from adapters.readback import read_back
from geometry.model.cutter import WorkArea
from geometry.model.plan import CutPlan
from geometry.model.transform import moved
from tests.roundtrip import every, follow, outside, pdfium_paths, plans

MM = 25.4 / 72.0
PAPERS = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}


def written(plan: CutPlan, **settings: Any) -> bytes:
    return registry.get("pdf").write(plan, settings).data


def lines(page: Any) -> list[tuple[float, list[tuple[float, float]]]]:
    """Return each path of a page: the width of its line in points, and its points in mm."""
    found = []
    for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        width = ctypes.c_float()
        raw.FPDFPageObj_GetStrokeWidth(thing, width)
        found.append((round(width.value, 3), pdfium_paths.ring(thing)))
    return found


@pytest.mark.parametrize("paper", PAPERS)
def test_paper_is_of_its_true_size(paper: str) -> None:
    document = pypdfium2.PdfDocument(written(every.load("pen"), paper=paper))
    for page in document:
        assert sorted(side * MM for side in page.get_size()) == pytest.approx(
            PAPERS[paper], abs=1e-3
        )


@pytest.mark.poppler
@pytest.mark.parametrize(("paper", "name"), [("letter", "letter"), ("a4", "A4")])
def test_poppler_knows_the_paper(paper: str, name: str, tmp_path: Path) -> None:
    program = outside.needs("pdfinfo")
    (tmp_path / "a.pdf").write_bytes(written(plans.plan(), paper=paper))
    output = subprocess.run(
        [program, str(tmp_path / "a.pdf")], check=True, capture_output=True, text=True, timeout=600
    ).stdout
    assert re.search(rf"Page size: .*\({name}\)", output)


def test_paper_is_laid_the_way_that_takes_fewer() -> None:
    area = WorkArea.rectangle(0, 0, 260, 190)
    plan = replace(plans.plan(), bed_width=260.0, bed_height=190.0, work_area=area, strokes=(
        replace(plans.plan().strokes[0], vertices=moved(plans.FLAG, 200, 150).vertices),
        replace(plans.plan().strokes[0], vertices=moved(plans.FLAG, 10, 10).vertices),
    ))  # fmt: skip
    document = pypdfium2.PdfDocument(written(plan))
    assert [round(side * MM, 1) for side in document[1].get_size()] == [279.4, 215.9]
    assert len(document) == 2
    upright = pypdfium2.PdfDocument(written(replace(plan, bed_width=190.0, bed_height=260.0)))
    assert [round(side * MM, 1) for side in upright[1].get_size()] == [215.9, 279.4]


@pytest.mark.parametrize("paper", [*PAPERS, "bed"])
def test_the_check_page_measures_what_it_says(paper: str) -> None:
    page = pypdfium2.PdfDocument(written(plans.plan(), paper=paper))[0]
    paths = [path for _, path in lines(page)]
    boxes = [[max(c) - min(c) for c in zip(*path, strict=True)] for path in paths]
    for size in ([25.4, 25.4], [100.0, 0.0]):
        assert sum(box == pytest.approx(size, abs=1e-3) for box in boxes) == 1
    ticks: dict[float, list[float]] = {}
    for path, (wide, tall) in zip(paths, boxes, strict=True):
        if wide < 1e-6 < tall:
            ticks.setdefault(round(path[0][1], 2), []).append(path[0][0])
    steps = sorted(
        (len(row), [b - a for a, b in itertools.pairwise(row)])
        for row in ticks.values()
        if len(row) > 2
    )
    (eighths, inch), (millimetres, metric) = steps
    assert (eighths, millimetres) == (49, 151)
    assert inch == pytest.approx([3.175] * 48, abs=1e-3)
    assert metric == pytest.approx([1.0] * 150, abs=1e-3)
    text = page.get_textpage().get_text_range()
    assert "100 % (actual size)" in text
    assert "must measure 1 in (25.4 mm) each way" in text
    width, height = (side * MM for side in page.get_size())
    assert all(0 < x < width and 0 < y < height for path in paths for x, y in path)


@dataclass
class Shown:
    """A page: its crosses by name, and the paths of its part of the plan, mm of the paper."""

    crosses: dict[str, tuple[float, float]]
    paths: list[list[tuple[float, float]]]


def shown(page: Any) -> Shown:
    names = page.get_textpage()
    text = names.get_text_range()
    crosses = {}
    found = lines(page)
    rings = [path for width, path in found if width == 0.3 and len(path) > 9]
    for match in re.finditer(r"\b[A-Z]+[12]\b", text):
        left, bottom, _, _ = names.get_charbox(match.start())
        at = (left * MM, bottom * MM)
        middles = [tuple(sum(c) / len(c) for c in zip(*ring[:-1], strict=True)) for ring in rings]
        crosses[match[0]] = min(middles, key=lambda middle: math.dist(middle, at))
    return Shown(crosses, [path for width, path in found if width == 0.7])


@pytest.mark.parametrize(
    ("tool", "paper", "overlap"),
    [
        *((tool, "letter", 10.0) for tool in every.TOOLS),
        ("pen", "a4", 25.0),
        ("pen", "letter", 0.0),
    ],
)
def test_pages_joined_by_their_crosses_are_the_plan(tool: str, paper: str, overlap: float) -> None:
    plan = every.load(tool)
    data = written(plan, paper=paper, overlap_mm=overlap, joined="all")
    found = [shown(page) for page in list(pypdfium2.PdfDocument(data))[1:]]
    assert len(found) > 8
    offsets = {0: (0.0, 0.0)}
    while len(offsets) < len(found):
        before = len(offsets)
        for number, page in enumerate(found):
            for other, (dx, dy) in list(offsets.items()):
                both = sorted(found[other].crosses.keys() & page.crosses.keys())
                if number in offsets or not both:
                    continue
                moves = [
                    (found[other].crosses[name][0] + dx - page.crosses[name][0],
                     found[other].crosses[name][1] + dy - page.crosses[name][1])
                    for name in both
                ]  # fmt: skip
                # Two crosses to a join: pages neither turn nor stretch.
                assert len(moves) == 2
                assert moves[0] == pytest.approx(moves[1], abs=0.002)
                offsets[number] = moves[0]
        assert len(offsets) > before, "pages that no cross joins to the others"
    joined = [
        [(x + offsets[number][0], y + offsets[number][1]) for x, y in path]
        for number, page in enumerate(found)
        for path in page.paths
    ]
    boxes = [part.bounds() for stroke in plan.strokes for part in stroke.segments]
    across = min(box.left for box in boxes) - min(x for path in joined for x, _ in path)
    up = max(box.top for box in boxes) - max(y for path in joined for _, y in path)
    on_bed: dict[tuple[int, int], list[list[tuple[float, float]]]] = {}
    for path in joined:
        moved_path = [(x + across, y + up) for x, y in path]
        on_bed.setdefault(_cell(moved_path[0]), []).append(moved_path)
    for stroke in plan.strokes:
        x, y = stroke.vertices[0].point
        near = {_cell((x + dx, y + dy)) for dx in (-0.1, 0.1) for dy in (-0.1, 0.1)}
        some = [path for cell in near for path in on_bed.get(cell, [])]
        assert any(follow.off(path, stroke) < 0.02 for path in some), stroke.piece


def _cell(place: tuple[float, float]) -> tuple[int, int]:
    return round(place[0]), round(place[1])


def test_no_sheet_is_printed_blank() -> None:
    stroke = replace(plans.plan().strokes[0], vertices=moved(plans.FLAG, 500, 30).vertices)
    plan = replace(plans.plan(), bed_width=600.0, bed_height=600.0, strokes=(stroke,))
    assert len(pypdf.PdfReader(io.BytesIO(written(plan))).pages) == 2
    assert len(pypdf.PdfReader(io.BytesIO(written(replace(plan, strokes=())))).pages) == 2


@pytest.mark.parametrize("margin", [0.0, 6.35, 20.0])
def test_nothing_is_drawn_where_the_printer_cannot_reach(margin: float) -> None:
    data = written(every.load("pen"), margin_mm=margin)
    for page in list(pypdfium2.PdfDocument(data))[1:4]:
        # Two pixels to the point; the edge of what is clipped may tint one more.
        picture = page.render(scale=2.0, grayscale=True).to_numpy().squeeze()
        edge = max(0, round(2.0 * margin / MM) - 2)
        inner = picture[edge : picture.shape[0] - edge, edge : picture.shape[1] - edge]
        assert (picture < 128).sum() > 1000
        assert (inner < 128).sum() == (picture < 128).sum()


def test_layers_are_named_by_operation_and_angle() -> None:
    document = pypdf.PdfReader(io.BytesIO(written(every.load("indexed_blade"))))
    root: Any = document.trailer["/Root"]
    groups = root["/OCProperties"]["/OCGs"]
    names = {str(group.get_object()["/Name"]) for group in groups}
    assert names == {f"cut-{s.angle_deg:g}deg" for s in every.load("indexed_blade").strokes}


LONG = replace(
    plans.plan(),
    bed_width=600.0,
    bed_height=12_000.0,
    work_area=WorkArea.rectangle(0, 0, 600, 12_000),
    strokes=tuple(
        replace(plans.plan().strokes[0], operation="cut", vertices=moved(plans.FLAG, x, y).vertices)
        for x, y in ((20, 20), (300, 5055), (300, 5085), (540, 11_970))
    ),
)


@pytest.mark.parametrize("name", registry.BUILT_IN)
def test_a_roll_of_many_metres(name: str) -> None:
    """Longer than a PDF page may be, and than HP-GL's integers reach."""
    settings = {**plans.SETTINGS.get(name, {}), **({"paper": "bed"} if name == "pdf" else {})}
    data = registry.get(name).write(LONG, settings).data
    found = read_back(name, data, LONG, settings)
    assert found is not None
    assert found.worst_deviation <= 0.02
    if name == "pdf":
        pages = pypdfium2.PdfDocument(data)
        assert max(side for page in pages for side in page.get_size()) <= 14_400
        assert len(pages) == 4
        both = [shown(page).crosses.keys() for page in list(pages)[1:]]
        assert both[0] & both[1] == {"A1", "A2"}
        # Pages cover what is drawn: here from one corner of a bed of 72 m2 to the other.
        far = moved(plans.FLAG, 5940, 11_970).vertices
        strokes = (*LONG.strokes, replace(LONG.strokes[0], vertices=far))
        with pytest.raises(CannotHoldError, match="Set paper to bed"):
            written(replace(LONG, bed_width=6000.0, strokes=strokes))
    if name == "hpgl":
        with pytest.raises(CannotHoldError, match="Set wide"):
            registry.get(name).write(LONG, {})


@pytest.mark.parametrize("tool", ["pen", "indexed_blade"])
def test_every_piece_bears_its_name(tool: str) -> None:
    """As pdfium finds the words: each inside the box of its piece.

    A piece that is whole on its page bears no number: nothing else could be meant.
    """
    plan = every.load(tool)
    page = pypdfium2.PdfDocument(written(plan, paper="bed", margin_mm=0.0))[1]
    words = page.get_textpage()
    boxes: dict[tuple[str, int], list[Any]] = {}
    for stroke in plan.strokes:
        if stroke.piece:
            key = (stroke.piece[:24], stroke.placement or 0)
            boxes.setdefault(key, []).extend(part.bounds() for part in stroke.segments)
    for (name, _), some in boxes.items():
        around = [
            (min(box.left for box in some), max(box.right for box in some)),
            (min(box.bottom for box in some), max(box.top for box in some)),
        ]
        # pdfium joins what a hyphen ends to the next line.
        shown = name.rstrip("-")
        assert any(_within(words, at, around) for at in _found(words, shown)), name
        assert not list(_found(words, f"{name} 1"))


def _found(words: Any, text: str) -> Iterator[tuple[int, int]]:
    """Yield where a text stands; also as the end of a longer one."""
    search = words.search(text)
    while (at := search.get_next()) is not None:
        yield at


def _within(words: Any, at: tuple[int, int], around: list[tuple[float, float]]) -> bool:
    first, last = words.get_charbox(at[0]), words.get_charbox(at[0] + at[1] - 1)
    return all(
        low < first[axis] * MM and last[axis + 2] * MM < high
        for axis, (low, high) in enumerate(around)
    )

"""Titles in any script, groups and widths of SVG, join marks of PDF: read by other libraries."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree as ET

import pypdfium2
import pytest
from ezdxf import filemanagement as ezdxf

from adapters import registry
from adapters.errors import SettingError
from adapters.readback import read_back
from adapters.sample import sample_plan
from adapters.transliteration import transliterated
from geometry.model.cutter import WorkArea
from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan, Stop, Stroke
from tests.roundtrip import plans

SVG = "{http://www.w3.org/2000/svg}"
TITLES = ["Große Blüte", "Лоскутное одеяло", "Πάπλωμα", "藍色の布", "لحاف", "a & <b> \x01 c\n d"]


@pytest.mark.parametrize("title", TITLES)
@pytest.mark.parametrize("release", ["R12", "R2000"])
def test_titles_in_any_script(title: str, release: str) -> None:
    plan = replace(plans.plan(), title=title)
    shown = " ".join(title.replace("\x01", " ").split())
    root = ET.fromstring(registry.get("svg").write(plan, {}).data)  # noqa: S314 - our own
    named = root.find(f"{SVG}title")
    assert named is not None
    assert named.text == shown
    data = registry.get("dxf").write(plan, {"release": release}).data
    lines = data.decode("ascii").splitlines()
    note = lines[lines.index(next(each for each in lines if each.startswith("title: ")))]
    coded = "".join(c if c.isascii() or ord(c) < 128 else f"\\U+{ord(c):04x}" for c in shown)
    assert note.lower() == f"title: {coded}".lower()
    assert lines[lines.index(note) - 1] == "999"
    assert ezdxf.read(io.StringIO(data.decode("ascii"))).audit().errors == []
    assert read_back("dxf", data, plan, {"release": release}) is not None


@pytest.mark.parametrize("mark", "\u061c\u200e\u200f\u202a\u202b\u202d\u202e\u2066\u2067\u2069")
def test_no_title_turns_its_direction(mark: str) -> None:
    """Unicode Standard Annex 9, 2 lists the marks: with U+202E, "fdp.daol" is read as a PDF.

    G-code's comments are ASCII, whatever a title, a piece or a material is called.
    """
    odd = f"load{mark}fdp"
    plan = plans.plan()
    stops = (Stop(0, "load-material", f"Load {odd}."), Stop(1, "turn-blade", f"Turn {odd}.", 1))
    strokes = tuple(replace(stroke, piece=odd) for stroke in plan.strokes)
    plan = replace(plan, title=odd, material=odd, strokes=strokes, stops=stops)
    for name in ("svg", "dxf", "gcode", "hpgl"):
        data = registry.get(name).write(plan, plans.SETTINGS.get(name, {})).data.decode()
        assert mark not in data
        assert f"{ord(mark):04X}" not in data.upper()
        assert read_back(name, data.encode(), plan, plans.SETTINGS.get(name, {})) is not None
    title = ET.fromstring(registry.get("svg").write(plan, {}).data).find(f"{SVG}title")  # noqa: S314
    assert title is not None
    assert title.text == "loadfdp"


def test_a_long_title_fits_a_line_of_dxf() -> None:
    data = registry.get("dxf").write(replace(plans.plan(), title="藍" * 120), {}).data
    assert max(map(len, data.splitlines()[:4])) <= 255


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        # ISO 9, ISO 843 and the Unicode names of letters, by hand.
        ("Жёлтый щит", "Zheltyj shhit"),
        ("Θάλασσα", "Thalassa"),
        ("パッチ", "patuti"),
        ("한국", "hangug"),
        ("Łódź", "Lodz"),
        ("藍", " U85CD "),
        ("plain - text", "plain - text"),
    ],
)
def test_letters_are_transliterated(text: str, plain: str) -> None:
    assert transliterated(text) == plain
    assert transliterated(text).isascii()


def groups(plan: CutPlan, settings: dict[str, Any]) -> dict[str, str]:
    root = ET.fromstring(registry.get("svg").write(plan, settings).data)  # noqa: S314 - our own
    return {g.attrib["id"]: g.attrib["stroke-width"] for g in root.iter(f"{SVG}g")}


def test_widths_are_the_user_s() -> None:
    plan = sample_plan()
    usual = groups(plan, {})
    assert usual == {"mark": "0.1", "score": "0.1", "cut": "0.1", "cut-45deg": "0.1"}
    chosen = groups(plan, {"widths": {"cut": 0.01, "mark": 0.5}})
    assert chosen == {"mark": "0.5", "score": "0.1", "cut": "0.01", "cut-45deg": "0.01"}
    settings = {"widths": {"cut-45deg": 2}}
    assert groups(plan, settings)["cut-45deg"] == "2"
    assert read_back("svg", registry.get("svg").write(plan, settings).data, plan, settings)


@pytest.mark.parametrize("wrong", [{"cut": 0}, {"cut": "fine"}, {"burn": 1}, {"cut": True}, 3])
def test_wrong_widths_are_named(wrong: Any) -> None:
    with pytest.raises(SettingError) as caught:
        registry.get("svg").write(sample_plan(), {"widths": wrong})
    assert caught.value.setting == "widths"


def test_a_line_up_cut_has_a_group_of_its_own() -> None:
    """It comes before the creases and the other cuts after them: no second group named cut."""
    line = (Vertex(5.0, 5.0), Vertex(15.0, 5.0))
    strokes = (
        Stroke("mark", line, closed=False, part="mark"),
        Stroke("cut", line, closed=False, part="line-up"),
        Stroke("score", line, closed=False, part="mark"),
        Stroke("cut", line, closed=False),
    )
    plan = replace(sample_plan(), strokes=strokes, stops=())
    assert list(groups(plan, {})) == ["mark", "line-up", "score", "cut"]


def ink(page: Any, dpmm: float) -> Iterator[tuple[float, float]]:
    """Yield the places of a page, mm from its lower left corner, that are not white."""
    image = page.render(scale=dpmm * 25.4 / 72, grayscale=True).to_numpy()
    high, wide = image.shape[:2]
    for row, column in zip(*(image.reshape(high, wide) < 250).nonzero(), strict=True):
        yield column / dpmm, (high - row) / dpmm


@pytest.mark.parametrize("overlap", [0, 2, 10])
@pytest.mark.parametrize("margin", [10, 20])
def test_join_marks_are_within_the_printable_area(overlap: float, margin: float) -> None:
    """A bed of 500 x 400 mm takes several sheets; everything on them keeps the margin."""
    stroke = Stroke("cut", (Vertex(5, 5), Vertex(495, 5), Vertex(495, 395), Vertex(5, 395)), True)
    area = WorkArea.rectangle(0, 0, 500, 400)
    plan = CutPlan("", 500.0, 400.0, area, (stroke,))
    settings = {"paper": "a4", "margin_mm": margin, "overlap_mm": overlap}
    document = pypdfium2.PdfDocument(registry.get("pdf").write(plan, settings).data)
    assert len(document) > 3
    # The first page is the check page.
    for number in (1, 2, len(document) - 1):
        page = document[number]
        wide, high = (side * 25.4 / 72 for side in page.get_size())
        places = list(ink(page, 4.0))
        assert places
        near = 0.3
        assert min(x for x, _ in places) >= margin - near
        assert max(x for x, _ in places) <= wide - margin + near
        assert min(y for _, y in places) >= margin - near
        assert max(y for _, y in places) <= high - margin + near

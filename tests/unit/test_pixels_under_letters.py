"""Under the letters of every picture lies one colour: no line, no frame, no edge of a piece.

Pictures are drawn twice, without their words and with nothing else. Where the first has an edge,
the second may have no ink. The pictures are those of the loads and tool paths of ten kits, of
shapes, of quilts and of blocks.
"""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from geometry.blocks.gallery import GALLERY
from geometry.shapes.catalogue import CATALOGUE
from service.blocks.picture import block_picture
from service.blocks.reading import reading_of
from service.documents.pictures.png import png
from service.documents.pictures.shape import dimensioned
from service.quilts.plan import planned
from service.requests.drawn_blocks import DrawnBlockRequestSchema
from service.requests.gallery_blocks import gallery
from service.requests.quilt_plans import QuiltPlanRequestSchema
from service.schemas.loading import load
from tests.bench_kits import KITS, SHORT_KITS, sheet_and_kit
from tests.short_form import few, short_form
from tests.unit.test_letters_clear_of_lines import QUILTS

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester

SVG = "{http://www.w3.org/2000/svg}"
#: Of 255: a step in brightness that is an edge, and what is ink.
_EDGE, _INK = 24, 96
#: Pixels of ink on edges that smoothing leaves where letters only stand near a line.
_SMOOTHED = 3
#: Side of a place, pixels: about a number of two figures.
_PLACE = 24
ET.register_namespace("", SVG[1:-1])


def grey(svg: str) -> NDArray[np.int16]:
    """Return a picture's brightness as it is drawn for a screen."""
    return np.asarray(Image.open(io.BytesIO(png(svg))).convert("L")).astype(np.int16)


def words_alone(svg: str) -> str:
    """Return a picture of the words alone, dark on white."""
    root = ET.fromstring(svg)  # noqa: S314 - our own text
    for parent in list(root.iter()):
        for each in list(parent):
            if each.tag in {f"{SVG}path", f"{SVG}circle", f"{SVG}rect"}:
                parent.remove(each)
    for text in root.iter(f"{SVG}text"):
        text.set("fill", "#000000")
    return ET.tostring(root, encoding="unicode")


def ink_on_edges(svg: str) -> int:
    """Return how many pixels of letters lie where something else has an edge, at the worst place.

    Smoothing leaves one here and there of small letters beside a line; what is crossed has many.
    """
    bare = re.sub(r"<text[^>]*>[^<]*</text>", "", svg)
    ground, ink = grey(bare), grey(words_alone(svg)) < _INK
    edges = np.zeros(ground.shape, dtype=bool)
    across = np.abs(np.diff(ground, axis=1)) > _EDGE
    along = np.abs(np.diff(ground, axis=0)) > _EDGE
    edges[:, 1:] |= across
    edges[:, :-1] |= across
    edges[1:] |= along
    edges[:-1] |= along
    assert ink.any()
    rows, columns = np.nonzero(edges & ink)
    if not len(rows):
        return 0
    places = np.stack((rows // _PLACE, columns // _PLACE))
    return int(np.unique(places, axis=1, return_counts=True)[1].max())


def pictures(path: Path) -> dict[str, str]:
    """Return the pictures of a kit's loads and tool paths."""
    _, made = sheet_and_kit(path)
    return {
        name: data.decode() for name, data in made.files.items() if name.endswith("-picture.svg")
    }


@pytest.mark.parametrize("path", short_form(KITS, SHORT_KITS), ids=lambda path: path.stem)
def test_letters_of_load_and_path_pictures(path: Path) -> None:
    found = {name: ink_on_edges(svg) for name, svg in pictures(path).items()}
    assert found
    assert {name: count for name, count in found.items() if count > _SMOOTHED} == {}


@pytest.mark.parametrize("name", QUILTS)
def test_letters_of_quilts(name: str) -> None:
    body = {"units": "in", "quilt": {"width": 24, "length": 24}, **QUILTS[name]}
    assert ink_on_edges(planned(load(QuiltPlanRequestSchema(), body)).answer.picture) <= _SMOOTHED


@pytest.mark.parametrize("name", few(GALLERY, 3))
def test_letters_of_blocks(name: str) -> None:
    read = reading_of(load(DrawnBlockRequestSchema(), gallery()[name]["drawing"]), None)
    assert ink_on_edges(block_picture(read.block.outline, read.pieces)) <= _SMOOTHED


@pytest.mark.parametrize("kind", sorted(CATALOGUE)[::5])
def test_letters_of_shapes(kind: str) -> None:
    outline = CATALOGUE[kind].build(CATALOGUE[kind].unit)
    assert ink_on_edges(dimensioned(outline, outline, kind, "mm")) <= _SMOOTHED


def test_a_line_under_letters_is_found() -> None:
    """The measurement itself, on a text of 40 mm with a line through its middle."""
    drawn = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="30mm" viewBox="0 0 60 30">'
        '<rect width="60" height="30" fill="#fff"/>{}'
        '<text x="30" y="20" font-size="12" text-anchor="middle">ANCHOR</text></svg>'
    )
    assert ink_on_edges(drawn.format("")) == 0
    line: Any = '<path d="M0 16H60" stroke="#1d2b2a" stroke-width="0.35"/>'
    assert ink_on_edges(drawn.format(line)) > 2 * _SMOOTHED

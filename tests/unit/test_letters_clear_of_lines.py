"""Letters in pictures lie neither over lines nor over a frame, as shapely and Pillow measure them.

Load pictures of ten kits on their sheets, and the one drawing of a quilt. Pictures that are SVG
files are measured in ``test_pixels_under_letters``.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import shapely
from PIL import ImageFont

from geometry.measure import flattened
from geometry.model.outline import Chain, Outline
from geometry.model.transform import Rigid
from service.documents.fonts import REGULAR_FILE
from service.documents.model import RunSheet
from service.documents.pictures import looks
from service.documents.sketch import Sketch, Words
from service.documents.sketches import load_sketch
from service.quilts.plan import planned
from service.quilts.top_sketch import legend_rows, top_sketch
from service.requests.quilt_plans import QuiltPlanRequestSchema
from service.schemas.loading import load
from tests.bench_kits import KITS, sheet_and_kit

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester

#: Rooms of a load's picture, mm: as large as on a page for itself, and the smallest.
ROOMS = ((95.0, 116.0), (88.0, 53.0))
QUILTS: dict[str, dict[str, Any]] = {
    "hexagons trimmed": {"tiling": "hexagon", "side": 3, "edge": {"sides": "trimmed"}},
    "cubes in three blues": {
        "tiling": "tumbling_blocks",
        "side": 3,
        "colours": {"names": ["tide blue", "deep blue", "sea blue"]},
    },
    "squares with a border": {
        "tiling": "square",
        "side": 4,
        "borders": [{"width": "3", "colour": "rust"}],
    },
}
_FONT = ImageFont.truetype(str(REGULAR_FILE), 1000)


def sheet(path: Path) -> RunSheet:
    """Return the run sheet of a kit."""
    return sheet_and_kit(path)[0]


def box_of(words: Words) -> shapely.Polygon:
    """Return the box of a text's ink, as Pillow measures the font that is printed."""
    left, top, right, bottom = (each * words.size / 1000 for each in _FONT.getbbox(words.text))
    rise = _FONT.getmetrics()[0] * words.size / 1000 - 0.35 * words.size
    start = 0.0 if words.begins else -_FONT.getlength(words.text) * words.size / 2000
    box = shapely.box(start + left, rise - bottom, start + right, rise - top)
    turned = shapely.affinity.rotate(box, 90 if words.upright else 0, origin=(0, 0))
    return shapely.affinity.translate(turned, *words.at)


def line(path: Outline | Chain, move: Rigid | None = None) -> shapely.LineString:
    """Return a drawn line, arcs as chords."""
    placed = (
        path
        if move is None
        else move.outline(path)
        if isinstance(path, Outline)
        else (move.chain(path))
    )
    points = [tuple(each) for each in flattened(placed, 0.02)]
    return shapely.LineString([*points, points[0]] if isinstance(path, Outline) else points)


def lines(sketch: Sketch) -> Iterator[shapely.LineString]:
    """Yield all lines of a drawing; of those that are trimmed what is left."""
    for shape in itertools.chain(sketch.ground, sketch.top):
        yield from (line(path) for path in shape.paths if shape.look.line is not None)
    edge = None if sketch.trimmed_to is None else shapely.box(*sketch.trimmed_to)
    for each in sketch.copies:
        for move, shape in itertools.product(each.moves, each.shapes):
            for path in shape.paths:
                drawn = line(path, move)
                yield drawn if edge is None else drawn.intersection(edge)


def assert_clear(sketch: Sketch) -> None:
    """Check that no letter touches a line, nor another letter, nor leaves the drawing."""
    if not sketch.words:
        # Of a load of small pieces of one kind none has a name.
        return
    tree = shapely.STRtree(list(lines(sketch)))
    boxes = [box_of(words) for words in sketch.words]
    for words, box in zip(sketch.words, boxes, strict=True):
        touched = tree.query(box, predicate="intersects")
        # The number of a pause has a dark ground, which hides what is below it.
        is_hiding = words.ground == looks.WAY
        assert is_hiding or not len(touched), (sketch.title, words.text, tuple(words.at))
        assert shapely.box(*sketch.box).covers(box), (sketch.title, words.text)
    one, other = shapely.STRtree(boxes).query(boxes, predicate="intersects")
    assert [*one] == [*other]


@pytest.mark.parametrize(
    "room", [pytest.param(ROOMS[0], marks=pytest.mark.long), ROOMS[1]], ids=["large", "small"]
)
@pytest.mark.parametrize("path", KITS, ids=lambda path: path.stem)
def test_letters_of_a_load_are_clear_of_lines(path: Path, room: tuple[float, float]) -> None:
    for run in sheet(path).runs:
        for each in run.loads:
            drawn = load_sketch(each, run.title, room)
            assert_clear(drawn.sketch)
            # A letter in place of a name stands in the picture.
            assert set(drawn.keys.values()) <= {words.text for words in drawn.sketch.words}


@pytest.mark.parametrize("name", QUILTS)
def test_letters_of_a_quilt_are_clear_of_lines(name: str) -> None:
    body = {"units": "in", "quilt": {"width": 24, "length": 24}, **QUILTS[name]}
    found = planned(load(QuiltPlanRequestSchema(), body))
    sketch = top_sketch(found.drawn, legend_rows(found.answer.colours), (180.0, 110.0))
    assert_clear(sketch)
    assert len(sketch.words) > len(found.answer.colours)


def test_a_letter_over_a_line_is_found() -> None:
    """The measurement itself: a text moved onto the frame of its drawing touches it."""
    (first, *_), *_ = (run.loads for run in sheet(KITS[0]).runs)
    sketch = load_sketch(first, "", ROOMS[0]).sketch
    edge = sketch.words[-1].at._replace(x=sketch.box.left)
    moved = Words("HEX", edge, sketch.words[-1].size)
    with pytest.raises(AssertionError):
        assert_clear(Sketch(sketch.box, sketch.scale, "", sketch.ground, words=(moved,)))

"""What a load's drawing shows beside the pieces is said in words, and what is said is drawn.

Requests of the kinds of the trial: a letter sheet on a mat, a die, a hollow piece, two offcuts.
"""

from __future__ import annotations

import re
from typing import Any

import pytest

from service.documents.pictures import looks
from service.tools.built_in import BUILT_IN
from tests import requested

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester

Json = dict[str, Any]
_LETTER_CARD = {"name": "card", "kind": "card", "width": "8 1/2", "height": "11"}
_DIE = {
    "tool": {"kind": "steel_rule_die", "rule": "0.028 in"},
    "bed": {"width": "12", "height": "10"},
    "margins": {"left": "1/2", "right": "1/2", "top": "1/2", "bottom": "1/2"},
}


def _made(piece: Json, run: Json, *, units: str = "in") -> requested.Made:
    request = {
        "title": "Harbour drawings",
        "units": units,
        "pieces": [{"id": "A", "quantity": 4} | piece],
        "runs": [{"formats": ["svg"], "effort": "quick"} | run],
        "documents": ["run_sheet"],
    }
    return requested.kit(request, BUILT_IN.get, read_back=False)


def _picture(made: requested.Made) -> str:
    (name,) = (
        name for name in made.files if name.endswith("-1-picture.svg") and "path" not in name
    )
    return made.files[name].decode()


def _strokes(drawing: str, width: float, colour: str | None = looks.WAY) -> int:
    """Return how many lines of one width are drawn in a colour, as a rule that of tools."""
    paths = re.findall(
        rf'<path d="([^"]*)" fill="none" stroke="{colour}" stroke-width="([0-9.]+)"', drawing
    )
    return sum(data.count("M") for data, wide in paths if float(wide) == pytest.approx(width))


def test_the_short_first_cut_of_a_blade_is_named_beside_the_drawing() -> None:
    """A drag blade is brought into line by one short cut: one line, and one entry of the key."""
    square: Json = {"shape": {"kind": "square", "side": "1"}}
    run: Json = {"cut": "template", "cutter": "drag-blade-sheet", "material": _LETTER_CARD}
    made = _made(square, run)
    page = made.files["run-sheet.html"].decode()
    assert page.count("</svg> short first cut, aligns the blade") == 1
    assert _strokes(_picture(made), looks.LINE_UP.width) == 1
    # A beam has no direction, so there is nothing to bring into line.
    beam = _made(square, run | {"cutter": "laser-bed"})
    assert "first cut" not in beam.files["run-sheet.html"].decode()
    assert _strokes(_picture(beam), looks.LINE_UP.width) == 0


def test_a_die_s_nicks_and_bridges_are_in_the_picture_and_on_the_sheet() -> None:
    """A hexagon of 6 sides has a bridge or two a side and two nicks: as many as the answer has."""
    run: Json = {"cut": "patch", "cutter": _DIE, "material": {"name": "cotton", "kind": "fabric"}}
    hexagon = {"shape": {"kind": "hexagon", "side": "2"}, "seam_allowance": "1/4", "quantity": 1}
    made = _made(hexagon, run)
    (load,) = made.answer["runs"][0]["loads"]
    nicks, bridges = (len(load["die"][each]) for each in ("nicks", "bridges"))
    assert nicks == 2
    assert bridges >= 6
    assert _strokes(_picture(made), looks.NICK.width) == nicks
    assert _strokes(_picture(made), looks.BRIDGE.width, looks.BRIDGE.line) == bridges
    page = made.files["run-sheet.html"].decode()
    # On the sheet widths are those on paper, divided by the scale of the drawing.
    # The key shows one more, as its sample.
    assert sum(data.count("M") for data in _way_paths(page)) == nicks + 1
    assert page.count("</svg> nick: a tie to snip") == 1
    assert page.count("</svg> bridge in the die&#39;s back: no tie") == 1
    # In grey their weights differ: a nick is three times as heavy.
    assert looks.NICK.width >= 3.0 * looks.BRIDGE.width
    # Nicks leave ties, and what is pressed has to be freed of them.
    assert re.search(r"[Nn]icks hold each piece by small ties.*snip", page)


def _way_paths(page: str) -> list[str]:
    return re.findall(rf'<path d="([^"]*)" fill="none" stroke="{looks.WAY}"', page)


def test_every_usable_rest_is_tinted() -> None:
    """One square of 100 mm on a sheet of 300 x 200 leaves a strip above it and one beside it.

    Above it, less the gap, are not quite 100 mm: only what is beside it holds a square.
    """
    made = _made(
        {"shape": {"kind": "square", "side": "100"}, "quantity": 1},
        {
            "cut": "template",
            "cutter": {"tool": {"kind": "laser"}, "bed": {"width": 300, "height": 200}},
            "material": {"name": "card", "kind": "card"},
        },
        units="mm",
    )
    (load,) = made.answer["runs"][0]["loads"]
    assert len(load["offcuts"]) == 2
    # The legend shows one more, as its sample.
    assert _picture(made).count(f'fill="{looks.REST.fill}"') == 1 + 1


def test_the_bench_reads_how_many_corners_are_blunt_not_their_numbers() -> None:
    """Four arcs inwards between the corners of a square: each corner is a cusp of 0 degrees."""
    hollow = [[0, 0, -0.41421356], [100, 0, -0.41421356], [100, 100, -0.41421356]]
    made = _made(
        {
            "shape": {"kind": "custom", "points": [*hollow, [0, 100, -0.41421356]]},
            "seam_allowance": 6,
            "quantity": 1,
        },
        {
            "cut": "patch",
            "cutter": "laser-bed",
            "material": {"name": "cotton", "kind": "fabric"},
        },
        units="mm",
    )
    (warning,) = (each for each in made.answer["warnings"] if each.startswith("Piece"))
    assert "corners 0, 1, 2 and 3 (0 degrees) are cut blunt" in warning
    page = made.files["run-sheet.html"].decode()
    assert "4 corners (0 degrees) are cut blunt: the edges there never meet." in page
    assert "corners 0" not in page


@pytest.mark.parametrize(("quantity", "words"), [(1, "1 piece of cotton, 592"), (20, "each 592")])
def test_one_piece_of_cloth_is_not_each(quantity: int, words: str) -> None:
    """Squares of 212 mm on a bed of 590 x 390 mm: two a load, so 20 take 10 pieces of cloth.

    1 mm is free at the cloth's edges, so each is 592 mm wide.
    """
    made = _made(
        {"shape": {"kind": "square", "side": "200"}, "seam_allowance": 6, "quantity": quantity},
        {"cut": "patch", "cutter": "laser-bed", "material": {"name": "cotton", "kind": "fabric"}},
        units="mm",
    )
    page = made.files["run-sheet.html"].decode()
    assert words in page
    assert ("each 592" in page) == (quantity > 1)


@pytest.mark.parametrize(("label", "ids_drawn"), [(True, 0), ("a", 0), ("S 1", 4), (False, 4)])
def test_a_piece_that_bears_another_text_is_named_in_the_drawings(
    label: str | bool,
    ids_drawn: int,
) -> None:
    """Four squares of 40 mm: each has its id in both drawings, unless it is written on the piece.

    Letters are cut in capitals, so "a" is the id of A. A picture numbers what bears its own id.
    """
    made = _made(
        {"shape": {"kind": "square", "side": "40"}, "label": label},
        {"cut": "template", "cutter": "pen-sheet", "material": {"name": "card", "kind": "card"}},
        units="mm",
    )
    assert _picture(made).count(">A</text>") == ids_drawn
    if ids_drawn:
        assert made.files["run-sheet.html"].decode().count(">A</text>") == ids_drawn
    else:
        assert re.findall(r">(\d)</text>", _picture(made)) == ["1", "2", "3", "4"]


def test_a_material_that_is_not_stated_is_not_called_other() -> None:
    """No material in the request: heading and picture say so, and the file keeps its name."""
    square: Json = {"shape": {"kind": "square", "side": "40"}}
    made = _made(square, {"cut": "template", "cutter": "pen-sheet"}, units="mm")
    page = made.files["run-sheet.html"].decode()
    assert "Run 1: template, material not stated" in page
    assert "template, material not stated, load 1" in _picture(made)
    assert "template, other" not in page + _picture(made)
    assert "1-template-other-1.svg" in made.files

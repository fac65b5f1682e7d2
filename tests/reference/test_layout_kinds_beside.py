"""Several kinds on part of a sheet, side by side: never more material than worked by hand."""

from __future__ import annotations

import pytest

from geometry.layout import Item
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.proof.overlap import check_load
from geometry.units import MM_PER_INCH as INCH
from tests.layouts import lay_out


def band(width: float, height: float) -> Outline:
    """Return a rectangle, inches."""
    corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
    return Outline.of([(x * INCH, y * INCH) for x, y in corners])


@pytest.mark.parametrize(
    ("length", "side", "by_hand"),
    [
        # Bands of 10 by 1 1/2 in stand side by side, 6 in wide and 10 in high; in the other 6 in
        # stand two columns of squares, 3 in each, 9 in high: 10 of 18 in.
        (10.0, 3.0, 10.0),
        # Bands of 8 in, and squares of 2 1/2 in in two columns, 7 1/2 in high: 8 of 18 in.
        pytest.param(8.0, 2.5, 8.0, marks=pytest.mark.long),
    ],
)
def test_bands_beside_squares(length: float, side: float, by_hand: float) -> None:
    kinds = [Item("band", band(length, 1.5), 4), Item("square", band(side, side), 5)]
    room = WorkArea.rectangle(10.0, 5.0, 12.0 * INCH, 18.0 * INCH)
    layout = lay_out(kinds, room, gap=0.0, effort="normal")
    (load,) = layout.loads
    assert check_load({item.piece: item.outline for item in kinds}, load, room, 0.0) == []
    assert load.outlines == {"band": 4, "square": 5}
    assert layout.used[0].share <= by_hand / 18.0 + 1e-6


def test_kinds_side_by_side_keep_the_gap() -> None:
    # Gap 2 mm: 4 bands are 3 gaps wider, the squares 1, and one is between: 12 in and 10 mm; the
    # bands are 10 in high.
    kinds = [Item("band", band(10.0, 1.5), 4), Item("square", band(3.0, 3.0), 5)]
    room = WorkArea.rectangle(0.0, 0.0, 12.0 * INCH + 10.0, 18.0 * INCH)
    layout = lay_out(kinds, room, gap=2.0, effort="normal")
    (load,) = layout.loads
    assert check_load({item.piece: item.outline for item in kinds}, load, room, 2.0) == []
    assert layout.used[0].share <= 10.0 / 18.0 + 1e-6


def test_what_is_no_longer_than_needed_stays() -> None:
    # Two bands of 12 by 1 1/2 in and a square of 3 in: 6 of 18 in along the short side, 3 + 3 in;
    # along the long one 12 in of bands and a square beside them: 3 of 12 in, the least there is.
    kinds = [Item("band", band(12.0, 1.5), 2), Item("square", band(3.0, 3.0), 1)]
    room = WorkArea.rectangle(0.0, 0.0, 12.0 * INCH, 18.0 * INCH)
    layout = lay_out(kinds, room, gap=0.0, effort="normal")
    assert layout.used[0].share == pytest.approx(3.0 / 12.0, abs=1e-6)

"""Of a stock, the one sheet that is longer than the bed is named."""

from __future__ import annotations

from tests.jobs.studio import Json, Studio


def _request(*stock: Json) -> Json:
    cutter = {"tool": {"kind": "laser"}, "bed": {"width": 400, "height": 300}}
    run = {
        "cut": "template",
        "cutter": cutter,
        "gap": 2,
        "material": {"name": "grey board", "kind": "card", "stock": list(stock)},
        "formats": ["svg"],
    }
    square = {"kind": "square", "side": 80}
    pieces = [{"id": "Q", "shape": square, "quantity": "max"}]
    return {"title": "Quay squares", "units": "mm", "pieces": pieces, "runs": [run]}


def test_a_long_leftover_beside_a_sheet(studio: Studio) -> None:
    """Squares of 80, 2 mm apart and 1 mm from every edge: 3 x 2 of 300 x 200, 4 x 3 of the rest.

    The leftover of 500 x 300 begins in the corner of a bed of 400 x 300: 100 mm are past its right.
    """
    board = {"name": "board", "width": 300, "height": 200}
    offcut = {"name": "offcut", "width": 500, "height": 300}
    kit = studio.kit(_request(board, offcut))
    assert sorted(load.outlines["Q"] for load in kit.run().loads) == [6, 12]
    (warning,) = [each for each in kit.payload["warnings"] if "past the" in each]
    assert warning.startswith(
        'Run 1: Sheet "offcut", 500 mm x 300 mm: the sheet reaches 100 mm past the right of the '
        "bed; no piece lies there."
    )
    places = kit.payload["warning_places"]
    assert places == [{"warning": warning, "pointers": ["#/runs/0/material/stock/1"]}]
    assert kit.sheet.says('Sheet "offcut", 500 mm x 300 mm: the sheet reaches 100 mm past')


def test_where_none_hangs_over_no_place_is_stated(studio: Studio) -> None:
    kit = studio.kit(_request({"name": "board", "width": 300, "height": 200}))
    assert "warning_places" not in kit.payload

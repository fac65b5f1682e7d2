"""A print that was measured on stretched cloth: what the bench measures is what was measured.

The repeat is printed 8 by 6 cm, with a half drop of 3 cm and a motif in its middle, 4 and 3 cm from
its corner. The cloth shrank lengthwise to 95 %: a repeat lies 8 by 5.7 cm (6 x 0.95), and the motif
of column c and row r lies 8 c + 4 cm from the left edge and 0.95 (6 r + 3 c + 3) cm from the lower
edge: the first of them at 4 and 2.85 cm. On 40 by 30 cm, patches of 5 by 5 cm keep 2.5 cm from the
edges: columns 0, 2 and 4 have rows at 2.85 + 5.7 k up to 27.5 cm, five each; columns 1 and 3 have
5.7 + 5.7 k, four each: 5 + 4 + 5 + 4 + 5 = 23.
"""

from __future__ import annotations

from typing import Any

from tests.jobs.studio import Studio

STRETCHED = 0.95


def _measured(column: int, row: int) -> dict[str, Any]:
    up = STRETCHED * (6 * row + 3 * column + 3)
    return {"column": column, "row": row, "x": 8 * column + 4, "y": round(up, 3)}


def _request(quantity: int) -> dict[str, Any]:
    printed = {
        "repeat_width": 8,
        "repeat_height": 6,
        "drop": 3,
        "positions": [{"x": 4, "y": 3}],
        "measured": [_measured(0, 0), _measured(3, -1), _measured(0, 3), _measured(3, 2)],
    }
    material = {"name": "anchor print", "kind": "fabric", "width": 40, "height": 30}
    square = {"kind": "square", "side": 4}
    piece = {"id": "A", "shape": square, "seam_allowance": 0.5, "grain": "fixed", "motif": True}
    return {
        "title": "Shrunk half drop",
        "units": "cm",
        "pieces": [{**piece, "quantity": quantity}],
        "runs": [
            {
                "cut": "patch",
                "gap": 0,
                "cutter": {"tool": {"kind": "pen"}, "bed": {"width": 42, "height": 32}},
                "material": {**material, "edge_clearance": 0, "motif": printed},
            }
        ],
    }


def test_bench_measures_the_repeat_that_the_files_were_made_for(studio: Studio) -> None:
    """23 lie on one sheet; the bench is asked for repeats of 8 by 5.7 cm, never 8 by 6."""
    kit = studio.kit(_request(23))
    (load,) = kit.run().loads
    assert load.outlines == {"A": 23}
    assert kit.sheet.together("measure the print", "must be", "8 cm x 5.7 cm", within=60)
    assert kit.sheet.together("repeat", "8 cm x 6 cm", "drop", "3 cm", "as measured", "8 cm x 5.7")
    where = ("middle of a motif", "4 cm", "left edge", "2.85 cm", "lower edge", "measured")
    assert kit.sheet.together(*where)


def test_cloth_that_is_not_skewed_is_not_skewed_the_other_way(studio: Studio) -> None:
    """Along its threads the cloth is as it was: turned and skewed by 0.00 degrees, not -0.00."""
    warnings = studio.kit(_request(4)).warnings
    assert "turned by 0.00 degrees" in warnings
    assert "95.0 % as high" in warnings
    assert "-0.00" not in warnings

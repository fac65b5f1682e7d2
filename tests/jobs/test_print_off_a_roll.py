"""Motifs of a print with a half drop, cut off a roll: counted and measured by hand."""

from __future__ import annotations

import pytest

from tests.jobs.studio import Json, Studio

BOATS: Json = {"repeat_width": 6, "repeat_height": 4, "drop": 2, "positions": [{"x": 3, "y": 2}]}


@pytest.mark.parametrize(("has_motif", "buy"), [(True, "3/4 yd"), (False, "3/8 yd")])
def test_a_print_s_end_is_cut_where_a_motif_is(
    studio: Studio, *, has_motif: bool, buy: str
) -> None:
    """Patches of 3 in on a roll of 20 in, 6 in from motif to motif across and 4 in along.

    Three columns, at 3, 9 and 15 in; the outer ones have motifs 2, 6, 10 and 14 in from the end,
    the middle one 4, 8 and 12. Ten patches end at 14 + 1 1/2 in, and the margin makes 16 in. The
    test takes 3.94 in, and 1 in is straightened. Nobody knows where in the print the roll ends, so
    up to a repeat of 4 in is cut off first: 24.94 in, 3/4 yd of 27 in.

    Without motifs six lie across, two rows are 6 in and 1 in of margins: 7 + 3.94 + 1 = 11.94 in,
    3/8 yd of 13 1/2 in.
    """
    piece = {
        "id": "M",
        "shape": {"kind": "square", "side": "2 1/2"},
        "quantity": 10,
        "seam_allowance": "1/4",
        "grain": "fixed",
    }
    material: Json = {"name": "boats", "kind": "fabric"}
    if has_motif:
        piece["motif"] = True
        material["motif"] = BOATS
    cutter = {
        "tool": {"kind": "pen"},
        "bed": {"shape": "roll", "width": "20 in"},
        "margins": dict.fromkeys(("left", "right", "top", "bottom"), "1/2"),
    }
    run = {"cut": "patch", "cutter": cutter, "material": material}
    kit = studio.kit({"units": "in", "pieces": [piece], "runs": [run]})
    if has_motif:
        assert kit.sheet.says("draw off 16 in in all", "and 4 in more for the test")
    assert kit.run().payload["roll"]["buy"] == buy
    assert kit.sheet.says(f"To buy: {buy} of cloth 20 in wide")

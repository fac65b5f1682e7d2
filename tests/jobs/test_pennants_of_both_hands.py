"""Pennants of both hands from four plies face to face, and one of them cut again."""

from __future__ import annotations

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Pennants, both hands",
    "units": "in",
    "pieces": [
        {
            "id": "STARBOARD",
            "shape": {"kind": "right_triangle", "width": "2", "height": "3", "hand": "right"},
            "quantity": 16,
            "seam_allowance": "1/4",
        },
        {
            "id": "PORT",
            "shape": {"kind": "right_triangle", "width": "2", "height": "3", "hand": "left"},
            "quantity": 16,
            "seam_allowance": "1/4",
        },
        {
            "id": "LEAN",
            "shape": {"kind": "parallelogram", "base": "3", "side": "2", "angle_deg": 60},
            "quantity": 10,
            "seam_allowance": "1/4",
        },
        {
            "id": "SQ",
            "shape": {"kind": "square", "side": "2"},
            "quantity": 9,
            "seam_allowance": "1/4",
        },
    ],
    "runs": [
        {
            "cut": "patch",
            "layers": 4,
            "stack": "face_to_face",
            "cutter": "laser-bed",
            "effort": "quick",
            "formats": ["svg"],
            "material": {"name": "bunting", "kind": "fabric"},
        }
    ],
}


def test_pennants_of_both_hands(studio: Studio) -> None:
    """Of 4 plies 2 lie right side up and 2 down: an outline gives 2 right and 2 left pennants.

    16 + 16 take 8 outlines. A leaning piece has no partner here: 2 of it and 2 mirror images from
    each outline, so 10 take 5 outlines and 10 mirror images come out beside them, to be kept
    apart. A square is its own mirror image: 4 of each outline, 9 take 3 outlines, 3 to spare.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert run.load_count == 1
    hands = run.outlines.get("STARBOARD", 0) + run.outlines.get("PORT", 0)
    assert (hands, run.outlines["LEAN"], run.outlines["SQ"]) == (8, 5, 3)
    assert run.total("STARBOARD") == run.total("PORT") == (16, 16, 0)
    assert run.total("LEAN") == (10, 10, 0)
    assert run.total("SQ") == (9, 12, 3)
    assert run.payload["totals"]["LEAN"]["mirrored"] == 10
    assert len(foreign.hulls(foreign.svg(run.loads[0].file("svg")))) == 16
    assert kit.sheet.counts("SQ", 9, 12, 3)
    assert kit.sheet.says("Load bunting, 4 layers, in pairs, right sides together")
    assert kit.sheet.together("LEAN gives 2 of LEAN and 2 mirror images", "apart", within=60)
    # Nothing tells the operator to lay all of it right side up.
    assert "lay it right side up" not in kit.sheet.text
    assert kit.sheet.says("angle 60 degrees")
    # Ids too long for their outlines in the sheet's drawing are named by a letter.
    assert kit.sheet.says("16 of STARBOARD (marked a)")


def test_one_pennant_again(studio: Studio) -> None:
    """One port pennant: 2 come out of 4 plies, with 2 mirror images; a single ply gives one."""
    kit = studio.kit(REQUEST)
    four = studio.recut(kit, 1, {"PORT": 1})
    assert four.run().total("PORT") == (1, 2, 1)
    assert four.run().payload["totals"]["PORT"]["mirrored"] == 2
    assert "1 asked for, 2 come out" in four.warnings
    # The mirror images are the other hand of the first kit, and may be wanted.
    assert 'the 2 mirror images are "STARBOARD" of the first kit' in four.warnings
    one = studio.recut(kit, 1, {"PORT": 1}, layers=1)
    assert one.run().total("PORT") == (1, 1, 0)
    assert one.run().loads[0].file_names == ["recut-1-patch-bunting-1.svg"]
    assert one.sheet.says("Recut", "Load bunting, right side up")
    assert "4 layers" not in one.sheet.text
    (first,) = [each for each in kit.payload["pieces"] if each["id"] == "PORT"]
    assert one.piece("PORT")["patch"]["outline"] == first["patch"]["outline"]

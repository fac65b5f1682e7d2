"""Seam lines, match marks and labels on a stack: a pen reaches only its top layer."""

from __future__ import annotations

import re

import pytest

from tests.jobs.studio import Json, Kit, Studio

HOOP: Json = {"width": 300, "height": 240}
INDEXED: Json = {"kind": "indexed_blade", "positions_deg": [0, 22.5, 45, 67.5, 90, 112.5, 135]}
KITE: Json = {
    "id": "K",
    "shape": {"kind": "octagon_kite", "side": 36},
    "quantity": 40,
    "seam_allowance": 5,
    "seam_line": "mark",
    "match_marks": True,
}
SQUARE: Json = {"id": "S", "shape": {"kind": "square", "side": 40}, "seam_allowance": 5}
FLANNEL: Json = {"name": "flannel", "kind": "fabric"}


def _kit(studio: Studio, pieces: list[Json], tool: Json, **run: object) -> Kit:
    cutter = {"tool": tool, "bed": HOOP}
    cut = {"cut": "patch", "effort": "quick", "material": FLANNEL, "formats": ["svg"], **run}
    return studio.kit(
        {"title": "Buoy", "units": "mm", "pieces": pieces, "runs": [{**cut, "cutter": cutter}]}
    )


def _burgee(hand: str, **marks: object) -> Json:
    shape = {"kind": "right_triangle", "width": 40, "height": 60, "hand": hand}
    return {"id": hand[0].upper(), "shape": shape, "quantity": 6, "seam_allowance": 5, **marks}


def test_half_of_the_kites_of_pairs_have_no_marks(studio: Studio) -> None:
    """A kite is its own mirror image: 40 of two layers face to face are 20 outlines.

    The pen draws 20 times, on the upper layer, which lies right side down: 20 of 40 kites have
    their lines, on the wrong side, and 20 have none.
    """
    kit = _kit(studio, [KITE], INDEXED, layers=2, stack="face_to_face")
    assert kit.run().outlines == {"K": 20}
    assert "20 of 40 pieces come out without their seam line and match marks" in kit.warnings
    assert "on its wrong side" in kit.warnings
    assert kit.sheet.together("top layer", "20 of 40 pieces", "seam line and match marks")
    assert kit.sheet.together("pen drew on the top layer", "inside the cut")
    assert "right side, which is up" not in kit.warnings


@pytest.mark.parametrize(
    "tool", [{"kind": "pen"}, {"kind": "laser", "kerf": "0.2 mm"}, {"kind": "drag_blade"}]
)
def test_two_thirds_of_three_layers(studio: Studio, tool: Json) -> None:
    """30 squares of three layers face up are 10 outlines: 10 labels on the top, 20 without.

    The plain piece beside it has nothing to draw: 6 of it are 2 outlines, and do not count.
    """
    pieces = [{**SQUARE, "quantity": 30, "label": "S"}, {**SQUARE, "id": "P", "quantity": 6}]
    kit = _kit(studio, pieces, tool, layers=3)
    assert kit.run().outlines == {"S": 10, "P": 2}
    assert "20 of 30 pieces come out without their label" in kit.warnings
    assert kit.sheet.together("top layer", "20 of 30 pieces")
    assert "without their" not in _kit(studio, pieces, tool).warnings


def test_mirror_images_take_the_marks(studio: Studio) -> None:
    """Right-hand burgees alone: the top layer is their mirror images, and none of 6 is marked.

    Of two layers face to face the lower gives 6 burgees from 6 outlines; what is drawn lies on
    the 6 mirror images, which are not pieces.
    """
    kit = _kit(
        studio, [_burgee("right", seam_line="mark")], INDEXED, layers=2, stack="face_to_face"
    )
    assert kit.run().outlines == {"R": 6}
    assert "6 of 6 pieces come out without their seam line" in kit.warnings


def test_labels_of_the_other_hand(studio: Studio) -> None:
    """6 right and 6 left of two layers face to face are 6 outlines; the label is the outline's.

    Each gives one piece below, without marks, and its mirror image on top, with the label of the
    piece that it is not.
    """
    pieces = [_burgee("right", label="R"), _burgee("left", label="L")]
    kit = _kit(studio, pieces, INDEXED, layers=2, stack="face_to_face")
    assert sum(kit.run().outlines.values()) == 6
    assert "6 of 12 pieces come out without their label" in kit.warnings
    assert re.search(r"labels of (R|L|R, L|L, R) stand on their mirror images", kit.warnings)


def test_an_odd_layer_is_marked_on_its_face(studio: Studio) -> None:
    """Three layers face to face: the last has no partner and lies right side up.

    6 + 6 burgees are 4 outlines (2 x 2 + 2 x 1 of each hand): 4 of 12 are marked, 8 are not, and
    the pen's lines show on the right side.
    """
    pieces = [_burgee(hand, seam_line="mark", label=hand[0]) for hand in ("right", "left")]
    kit = _kit(studio, pieces, INDEXED, layers=3, stack="face_to_face")
    assert kit.run().outlines == {"R": 2, "L": 2}
    assert "8 of 12 pieces come out without their seam line and label" in kit.warnings
    assert "on its wrong side" not in kit.warnings
    assert "stand on their mirror" not in kit.warnings
    assert "right side, which is up because the last layer" in kit.warnings

"""What one piece's cut takes off the next one is said before cutting, or kept out by the gap."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs.studio import Studio

NEIGHBOUR = "neighbouring piece"


def _neighbour_words(studio: Studio, piece: dict[str, Any], run: dict[str, Any]) -> list[str]:
    kit = studio.kit(
        {"title": "Coasters for the harbour café", "units": "mm", "pieces": [piece], "runs": [run]}
    )
    return [each for each in kit.payload["warnings"] if NEIGHBOUR in each]


@pytest.mark.parametrize(
    ("gap", "kerf", "depth"),
    [(0, 0.2, "0.20 mm"), (0.2, 0.3, "0.10 mm"), (0.2, 0.2, None), (None, 0.2, None)],
)
def test_squares_beside_each_other(
    studio: Studio, gap: float | None, kerf: float, depth: str | None
) -> None:
    """12 squares of 50 mm under a beam.

    The beam's middle runs half a kerf outside each square, so its slot ends a whole kerf outside.
    The neighbour begins a gap away: the beam takes kerf - gap off it. 0.2 - 0 = 0.2 mm;
    0.3 - 0.2 = 0.1 mm; with a gap of one kerf, or the usual 0.5 mm, nothing.
    """
    piece = {"id": "S", "shape": {"kind": "square", "side": 50}, "quantity": 12}
    run: dict[str, Any] = {
        "cut": "template",
        "cutter": {
            "tool": {"kind": "laser", "kerf": kerf},
            "bed": {"width": 600, "height": 400},
        },
        "material": {"name": "card", "kind": "card"},
        "formats": ["svg"],
    }
    if gap is not None:
        run["gap"] = gap
    found = _neighbour_words(studio, piece, run)
    assert bool(found) == (depth is not None)
    assert all(str(depth) in each for each in found)


def test_triangles_under_a_wide_beam(studio: Studio) -> None:
    """Triangles of 40 mm with 6 mm all round under a beam of 0.8 mm, no gap stated.

    The slot reaches 0.8 mm beyond an edge and 0.4 (1 + 1 / sin 30) = 1.2 mm beyond a corner of 60
    degrees. The usual gap is 2.5 kerfs = 2 mm, so no piece loses anything. With 0.5 mm stated the
    edges that face each other lose 0.3 mm, and corners up to 0.7 mm.
    """
    piece = {
        "id": "T",
        "shape": {"kind": "triangle", "side": 40},
        "quantity": 20,
        "seam_allowance": 6,
    }
    run = {
        "cut": "patch",
        "cutter": {
            "tool": {"kind": "laser", "kerf": 0.8},
            "bed": {"width": 600, "height": 400},
        },
        "material": {"name": "felt", "kind": "fabric"},
        "formats": ["svg"],
        "ties": {"count": 0},
    }
    assert not _neighbour_words(studio, piece, run)
    (payload,) = _neighbour_words(studio, piece, {**run, "gap": 0.5})
    depth = float(payload.split(" mm")[0].split()[-1])
    assert 0.3 <= depth <= 0.7


@pytest.mark.parametrize(("gap", "is_told"), [(None, False), (4, False), (2, True)])
def test_a_wide_blade_past_corners(studio: Studio, gap: float | None, is_told: bool) -> None:
    """Octagons of 15 mm with 6 mm all round, cut by a blade of 8 mm that is set by hand.

    It stabs half its width, 4 mm, past every corner, along the edge that ends there. A gap of 4 mm,
    which is the usual one for this blade, keeps that out of every neighbour; 2 mm does not.
    """
    piece = {
        "id": "O",
        "shape": {"kind": "octagon", "side": 15},
        "quantity": 10,
        "seam_allowance": 6,
    }
    run: dict[str, Any] = {
        "cut": "patch",
        "cutter": {
            "tool": {"kind": "indexed_blade", "blade_width": 8, "step": 0.3},
            "bed": {"width": 400, "height": 300},
        },
        "material": {"name": "linen", "kind": "stiffened_fabric"},
        "formats": ["dxf"],
        "ties": {"count": 0},
    }
    if gap is not None:
        run["gap"] = gap
    assert bool(_neighbour_words(studio, piece, run)) == is_told

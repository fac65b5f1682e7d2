"""Patches with curves and sharp tips, cut by a beam without width: areas by closed forms."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

#: Shape, allowance, corners; area (in2), width and height of the patch (in).
CLAM = {"kind": "clamshell", "width": "2"}
APPLE = {"kind": "apple_core", "length": "4"}
DIAMOND = {"kind": "diamond_45", "side": "1"}
HALF = {"kind": "half_hexagon", "side": "1"}
TRIANGLE = {"kind": "triangle", "side": "1"}
LONG = {"kind": "elongated_hexagon", "long_side": "2", "short_side": "1"}
BLUNT = {"kind": "blunt"}
CASES = [
    pytest.param(CLAM, "1/4", {}, 3.820796, 2.5, 2.5, id="clamshell"),
    pytest.param(APPLE, "3/8", {}, 13.274889, 3.889087, 4.75, id="apple-core"),
    pytest.param(DIAMOND, "1/4", {}, 2.060660, None, 3.154322, id="diamond"),
    pytest.param(HALF, "1/4", {}, 2.837713, 2.866025, 1.366025, id="half-hexagon"),
    pytest.param(TRIANGLE, "1/4", {}, 1.507772, 1.866025, 1.616025, id="triangle"),
    pytest.param(LONG, "3/8", BLUNT, None, 4.164214, 2.164214, id="long-hexagon"),
]


@pytest.mark.parametrize(("shape", "allowance", "corners", "area", "width", "height"), CASES)
def test_single_shapes_cut(
    studio: Studio,
    shape: dict[str, str],
    allowance: str,
    corners: dict[str, str],
    area: float | None,
    width: float | None,
    height: float,
) -> None:
    """Patches of single shapes: area + a x outline + a2 x sum of cot(half the corner).

    The apple core's area: 2 R2 + 2 pi R a + 4 a2 with R = 2, a = 3/8: 8 + 4.712389 + 0.5625 =
    13.274889; its length is 4.75. Its square corners point sideways and run on to a x root 2
    beyond the paper's: 2.828427 + 2 x 0.530330 = 3.889087 (blunt at 3/8 it would be 3.578427).
    The long hexagon: 2 x 1 in with right-angled tips, blunt at 3/8, lying: the patch fits 2 1/4 x
    4 1/4. The clamshell: the cusp ends flat, the two side corners run on until they meet. Four of
    each on a bed of 30 x 30 cm; the beam has no width, so the cut is the patch itself.
    """
    kit = studio.kit(
        {
            "title": "Pattern loft",
            "units": "in",
            "pieces": [
                {"id": "P", "shape": shape, "quantity": 4, "seam_allowance": allowance}
                | ({"corners": corners, "grain": "fixed"} if corners else {"grain": "fixed"})
            ],
            "runs": [
                {
                    "cut": "patch",
                    "cutter": {
                        "tool": {"kind": "laser", "kerf": "0"},
                        "bed": {"width": "30 cm", "height": "30 cm"},
                    },
                    "material": {"name": "sand", "kind": "fabric"},
                    "gap": "1 mm",
                    "formats": ["dxf", "svg"],
                    "ties": {"count": 0},
                }
            ],
        }
    )
    load = kit.run().loads[0]
    assert load.outlines == {"P": 4}
    for read, kind in ((foreign.dxf, "dxf"), (foreign.svg, "svg")):
        rings = foreign.cells(read(load.file(kind)))
        assert len(rings) == 4, kind
        for ring in rings:
            if area is not None:
                assert ring.area / 645.16 == pytest.approx(area, abs=2e-3)
            left, bottom, right, top = ring.bounds
            assert (top - bottom) / 25.4 == pytest.approx(height, abs=1e-3)
            if width is not None:
                assert (right - left) / 25.4 == pytest.approx(width, abs=1e-3)
        assert foreign.nearest(rings) >= 1.0 - 5e-3
    asked = 6.35 if allowance == "1/4" else 9.525
    assert kit.allowance("P") == pytest.approx((asked, asked, asked), abs=1e-3)
    assert kit.sheet.counts("P", 4, 4, 0)
    assert kit.sheet.says(f"{allowance} in", "sand")

"""Templates that are used three times each: a third of them is cut."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Ferry diamonds",
    "units": "in",
    "pieces": [
        {
            "id": "D",
            "shape": {"kind": "diamond_60", "side": "1"},
            "quantity": 100,
            "seam_allowance": "1/4",
        }
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": "laser-bed",
            "material": {"name": "card", "kind": "card"},
            "formats": ["plan", "dxf"],
            "reuse": 3,
        },
        {
            "cut": "patch",
            "cutter": "laser-bed",
            "material": {"name": "tide blue", "kind": "fabric"},
            "formats": ["dxf"],
            "ties": {"count": 0},
            "effort": "quick",
        },
    ],
}


def test_reused_templates(studio: Studio) -> None:
    """100 patches on templates used 3 times: 100 / 3 = 33.3, 34 templates, serving 102, 2 spare.

    A 60-degree diamond of 1 in is 0.866025 in2 (558.72 mm2) and its patch with 1/4 in
    2.154701 in2 (1390.13 mm2). 100 patches are 139,013 mm2 of the bed's 230,100:
    one load where rows interlock: the patch is 1.3660 in high (34.70 mm), 17 wide at a pitch of
    40.07 + 0.58 mm (590 / 40.65 = 14), 11 rows of 35.2 mm in 390: 14 x 11 = 154 less slant.
    """
    kit = studio.kit(REQUEST)
    first, second = kit.run(1), kit.run(2)
    assert first.outlines == {"D": 34}
    assert first.load_count == 1
    assert first.total("D") == (34, 34, 0)
    assert second.outlines == {"D": 100}
    assert second.load_count == 1
    assert second.total("D") == (100, 100, 0)
    # The beam's line runs 0.1 mm outside: a mitred line at d adds d x outline + d2 x sum of cot.
    added = 0.1 * 101.6 + 0.01 * 4.618802
    rings = foreign.cells(foreign.plan(first.loads[0].file("plan")))
    assert [each.area for each in rings] == pytest.approx([558.72 + added] * 34, abs=0.1)
    side = 25.4 + 2.309401 * 6.35
    added = 0.1 * 4 * side + 0.01 * 4.618802
    rings = foreign.cells(foreign.dxf(second.loads[0].file("dxf")))
    assert [each.area for each in rings] == pytest.approx([1390.13 + added] * 100, abs=0.1)
    assert kit.sheet.says("3 times", 34, "tide blue")


def test_lost_templates_are_replaced_one_for_one(studio: Studio) -> None:
    """Four lost templates are four, whatever number of patches each of them serves.

    They were divided by the uses of a template once more: "Recut, 4 of D" cut two. Cut again as it
    lay, the load of 34 was 12 needed and 22 spare.
    """
    kit = studio.kit(REQUEST)
    again = studio.recut(kit, 1, {"D": 4})
    assert again.run(1).outlines == {"D": 4}
    assert again.run(1).total("D") == (4, 4, 0)
    # What the sheet says of use is true of the new ones as well.
    assert again.sheet.says("3 times", "4 of D")
    patches = studio.recut(kit, 2, {"D": 4})
    assert patches.run(1).total("D") == (4, 4, 0)
    address = f"/v1/kits/{kit.payload['id']}/recuts"
    answer = studio.client.post(address, json={"run": 1, "loads": {"1": 1}}).get_json()
    total = answer["runs"][0]["totals"]["D"]
    assert (total["requested"], total["made"], total["spare"]) == (34, 34, 0)

"""Two lost templates are cut again from the stored kit, the same to the last digit."""

from __future__ import annotations

import json

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Anchor papers",
    "units": "in",
    "pieces": [
        {
            "id": "J",
            "shape": {"kind": "jewel", "side": "1"},
            "quantity": 10,
            "seam_allowance": "1/4",
        },
        {
            "id": "C",
            "shape": {"kind": "clamshell", "width": "2"},
            "quantity": 10,
            "seam_allowance": "1/4",
            "corners": {"kind": "blunt"},
        },
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": "laser-bed",
            "material": {"name": "old cotton", "kind": "fabric"},
            "formats": ["svg"],
            "effort": "quick",
        },
        {
            "cut": "template",
            "cutter": "pen-sheet",
            "material": {"name": "card", "kind": "card"},
            "formats": ["plan"],
            "effort": "quick",
        },
    ],
}


def test_recut_next_month(studio: Studio) -> None:
    """One jewel and two clamshells of run 2 are lost.

    A jewel of 1 in is 3.031089 in2 = 1955.54 mm2, a 2 in clamshell 2.0 in2 =
    1290.32 mm2. The recut has one run with 3 outlines on one load, and the outlines in its
    answer are the stored ones, byte for byte.
    """
    kit = studio.kit(REQUEST)
    recut = studio.recut(kit, 2, {"J": 1, "C": 2})
    assert recut.payload["recut_of"] == kit.payload["id"]
    (run,) = recut.runs
    assert run.payload["cut"] == "template"
    assert run.outlines == {"J": 1, "C": 2}
    assert run.load_count == 1
    # Saved beside the kit's own file, neither takes the other's place.
    assert run.loads[0].file_names == ["recut-1-template-card-1.plan.json"]
    assert "recut-1-template-card-1.plan.json" not in {
        name for one in kit.runs for load in one.loads for name in load.file_names
    }
    for name in ("J", "C"):
        for part in ("template", "patch"):
            then, now = kit.piece(name)[part], recut.piece(name)[part]
            assert json.dumps(then).encode() == json.dumps(now).encode()
    rings = foreign.cells(foreign.plan(run.loads[0].file("plan")))
    areas = sorted(each.area for each in rings)
    assert areas == pytest.approx([1290.32, 1290.32, 1955.54], abs=0.3)
    assert run.total("J") == (1, 1, 0)
    assert recut.sheet.counts("C", 2, 2, 0)
    # The first kit is as it was.
    assert studio.client.get(f"/v1/kits/{kit.payload['id']}").get_json() == kit.payload


def test_a_recut_in_other_layers_says_why_more_come_out(studio: Studio) -> None:
    """Patches cut 4 at once; of a recut in 3 layers it is not true that the first kit had 3.

    1 lost piece: one outline, 4 pieces out of the first kit's stack, 3 out of one of 3 layers.
    """
    cutter = {"tool": {"kind": "indexed_blade"}, "bed": {"width": "10", "height": "6"}}
    run = {"cut": "patch", "cutter": cutter, "layers": 4, "formats": ["svg"], "effort": "quick"}
    material = {"name": "ticking", "kind": "stiffened_fabric"}
    piece = REQUEST["pieces"][0]
    kit = studio.kit(REQUEST | {"pieces": [piece], "runs": [run | {"material": material}]})
    whole = studio.recut(kit, 1, {"J": 1})
    assert whole.run().total("J") == (1, 4, 3)
    assert "4 layers are cut at once as in the first kit" in whole.warnings
    fewer = studio.recut(kit, 1, {"J": 1}, layers=3)
    assert fewer.run().total("J") == (1, 3, 2)
    assert "3 layers are cut at once" in fewer.warnings
    assert "first kit" not in fewer.warnings
    assert '"layers"' not in fewer.sheet.text


def test_a_scrap_of_stated_size_is_of_the_runs_material(studio: Studio) -> None:
    """A template of a 1 in square, card; the scrap is 2 by 1 1/2 in, and nothing else is said.

    It is a scrap of that card: the sheet says so, the file is named after it, and the laser, which
    cuts no material that it does not know, cuts it. One that is said to be vinyl is none of it.
    """
    square = {
        "id": "S",
        "shape": {"kind": "square", "side": "1"},
        "quantity": 30,
        "seam_allowance": "1/4",
    }
    run = {
        "cut": "template",
        "cutter": "laser-bed",
        "material": {"name": "cream card", "kind": "card", "width": "8", "height": "10"},
        "formats": ["svg"],
    }
    kit = studio.kit({"title": "Buoys", "units": "in", "pieces": [square], "runs": [run]})
    recut = studio.recut(kit, 1, {"S": 1}, material={"width": "2", "height": "1 1/2"})
    again = recut.run()
    assert again.payload["material"] == {"name": "cream card", "kind": "card"}
    assert again.payload["sheet"]["width_mm"] == pytest.approx(50.8)
    assert again.payload["sheet"]["height_mm"] == pytest.approx(38.1)
    assert again.loads[0].file_names == ["recut-1-template-cream-card-1.svg"]
    assert "load cream card" in recut.sheet.text
    address = f"/v1/kits/{kit.payload['id']}/recuts"
    other = {"kind": "vinyl", "width": "2", "height": "1 1/2"}
    body = {"run": 1, "pieces": {"S": 1}, "material": other}
    refused = studio.client.post(address, json=body)
    assert refused.status_code == 422
    assert refused.get_json()["errors"][0]["pointer"] == "#/material/kind"


def test_a_lost_patch_is_cut_from_a_scrap(studio: Studio) -> None:
    """A square of 3 in with 1/4 in all round is 3 1/2 in; the scrap is 5 by 4 in.

    A laser keeps 1 mm from the scrap's edges (common practice, no source), so 4.92 by 3.92 in are
    left: one square fits, the second does not lie beside it (7 in) and needs a load of its own. The
    scrap's name is in the file's name and on the sheet. A scrap of 3 by 4 in is too small:
    3 in < 3 1/2 in.
    """
    kit = studio.kit(
        {
            "title": "Signal flags",
            "units": "in",
            "pieces": [
                {
                    "id": "F",
                    "shape": {"kind": "square", "side": "3"},
                    "quantity": 12,
                    "seam_allowance": "1/4",
                }
            ],
            "runs": [
                {
                    "cut": "patch",
                    "cutter": "laser-bed",
                    "material": {"name": "red cotton", "kind": "fabric"},
                    "formats": ["svg"],
                    "effort": "quick",
                }
            ],
        }
    )
    scrap = {"name": "red scrap", "kind": "fabric", "width": "5", "height": "4"}
    client, address = studio.client, f"/v1/kits/{kit.payload['id']}/recuts"
    body = {"run": 1, "pieces": {"F": 2}, "material": scrap}
    recut = client.post(address, json=body).get_json()
    (run,) = recut["runs"]
    assert run["material"] == {"name": "red scrap", "kind": "fabric"}
    assert [(load["repeats"], load["outlines"]) for load in run["loads"]] == [(2, {"F": 1})]
    assert recut["pieces"][0]["patch"] == kit.piece("F")["patch"]
    assert run["loads"][0]["files"][0]["name"] == "recut-1-patch-red-scrap-1.svg"
    for material, pointer in (
        ({**scrap, "width": "3"}, "#/pieces/F"),
        ({**scrap, "width": "wide"}, "#/material/width"),
        ({**scrap, "colour": "red"}, "#/material/colour"),
        ({**scrap, "kind": "vinyl"}, "#/material/kind"),
    ):
        refused = client.post(address, json={**body, "material": material})
        assert refused.status_code == 422, refused.text
        assert pointer in [each["pointer"] for each in refused.get_json()["errors"]]

"""A recut from a scrap: whether one is enough, and of which run a problem speaks."""

from __future__ import annotations

import pytest

from tests.jobs.studio import Kit, Studio


@pytest.fixture
def kit(studio: Studio) -> Kit:
    """Squares of 80 mm: templates of 80, patches of 100 mm, all off a laser's bed, 2 mm apart."""
    square = {
        "id": "Q",
        "shape": {"kind": "square", "side": 80},
        "quantity": 12,
        "seam_allowance": 10,
    }
    run = {"cutter": "laser-bed", "gap": 2, "formats": ["svg"], "effort": "quick"}
    return studio.kit(
        {
            "title": "Linen coasters",
            "units": "mm",
            "pieces": [square],
            "runs": [
                {**run, "cut": "template", "material": {"name": "card", "kind": "card"}},
                {**run, "cut": "patch", "material": {"name": "grey linen", "kind": "fabric"}},
            ],
        }
    )


def test_a_recut_says_when_one_scrap_is_not_enough(studio: Studio, kit: Kit) -> None:
    """A scrap of 220 x 110 mm, less 1 mm all round: 218 x 108 mm.

    Two patches and the gap are 100 + 2 + 100 = 202 mm: 2 fit, a third would begin at 204 and end
    at 304. 3 patches take 2 scraps, 2 take one, and 2 in 2 layers 2 again, with 1 on each.
    """
    scrap = {"width": 220, "height": 110}
    three = studio.recut(kit, 2, {"Q": 3}, material=scrap)
    assert three.run().load_count == 2
    assert "220 mm x 110 mm is not enough" in three.warnings
    assert "takes 2" in three.warnings
    assert "2 of Q" in three.warnings
    assert three.sheet.together("warnings", "220 mm x 110 mm", "not enough", "takes 2", within=120)
    two = studio.recut(kit, 2, {"Q": 2}, material=scrap)
    assert two.run().load_count == 1
    assert "not enough" not in two.warnings
    plies = studio.recut(kit, 2, {"Q": 2}, material=scrap, layers=2)
    assert "takes 2" in plies.warnings
    assert "1 of Q" in plies.warnings
    # Sheets of a material without a size are no scrap that somebody holds in hand.
    assert "not enough" not in studio.recut(kit, 2, {"Q": 3}).warnings


def test_a_problem_of_a_recut_names_the_run_that_was_asked_for(studio: Studio, kit: Kit) -> None:
    """A patch of 100 mm does not go on a scrap of 90 x 90 mm: run 2 is meant, and no other.

    Of a stock of one scrap of 220 x 110 mm there is no room for the third of 3 patches.
    """
    address = f"/v1/kits/{kit.payload['id']}/recuts"
    body = {"run": 2, "pieces": {"Q": 3}, "material": {"width": 90, "height": 90}}
    problem = studio.refused(body, address)
    assert problem["type"].endswith("does-not-fit")
    assert problem["run"] == 2
    stock = [{"name": "scrap", "width": 220, "height": 110}]
    problem = studio.refused({**body, "material": {"stock": stock}}, address)
    assert problem["type"].endswith("not-enough-stock")
    (row,) = problem["shortfall"]
    assert row["run"] == 2
    assert row["missing"] == {"Q": 1}

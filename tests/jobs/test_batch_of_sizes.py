"""A season's papers: three sizes on two cutters are six kits."""

from __future__ import annotations

import json
import threading
from pathlib import Path

import pytest
from sqlalchemy import select

from service.jobs.runner import Runner
from service.storage.tables import JOBS
from tests.jobs.studio import Kit, Run, Studio

REQUEST = {
    "title": "Season of hexagons",
    "request": {
        "title": "Season papers",
        "units": "in",
        "pieces": [
            {
                "id": "H",
                "shape": {"kind": "hexagon", "side": "1"},
                "quantity": 6,
                "seam_allowance": "1/4",
            }
        ],
        "runs": [
            {
                "cut": "template",
                "cutter": "drag-blade-sheet",
                "formats": ["svg"],
                "effort": "quick",
                "material": {"name": "card", "kind": "card"},
            }
        ],
    },
    "sizes": [{"side": "1/2"}, {"side": "1"}, {"side": "2"}],
    "cutters": ["drag-blade-sheet", "laser-bed"],
}


def test_batch_of_sizes(studio: Studio) -> None:
    """3 sizes x 2 cutters = 6 kits of 6 hexagons, each on one load.

    Across corners 1, 2 and 4 in = 25.4, 50.8 and 101.6 mm; areas 0.6495, 2.5981 and
    10.3923 in2 (2.598076 side^2). Six of 2 in need 2 x 3: across flats 87.99 mm, rows of
    three 266 mm wide and 101.6 + 77.1 = 178.7 mm high, in 292 x 292.
    """
    asked = studio.client.post("/v1/batches", json=REQUEST)
    assert asked.status_code == 202
    assert asked.get_json()["total"] == 6
    app = studio.client.application
    store = app.extensions["quarterseam-store"]()
    runner = Runner(store, app.config["SETTINGS"], threading.Event())
    with store.engine.connect() as connection:
        waiting = list(
            connection.execute(select(JOBS.c.id).where(JOBS.c.state == "queued")).scalars()
        )
    for job in waiting:
        runner.run(store.jobs.claim(job))
    payload = studio.client.get(asked.get_json()["href"]).get_json()
    assert payload["counts"]["succeeded"] == 6
    assert payload["counts"]["failed"] == 0
    # Kits count from 1, like runs; the size in a title has its unit.
    assert sorted(each["number"] for each in payload["kits"]) == [1, 2, 3, 4, 5, 6]
    titles = {each["title"] for each in payload["kits"]}
    assert "Season papers: side 1/2 in, laser-bed" in titles
    seen = []
    for each in payload["kits"]:
        answer = studio.client.get(each["kit"]).get_json()
        kit = Kit(answer, studio.client, [Run(run, studio.client) for run in answer["runs"]])
        assert kit.run().total("H") == (6, 6, 0)
        assert kit.run().load_count == 1
        template = kit.piece("H")["template"]
        seen.append((kit.run().payload["tool"], round(template["area_mm2"] / 645.16, 4)))
        across = {0.6495: 25.4, 2.5981: 50.8, 10.3923: 101.6}[seen[-1][1]]
        assert max(template["width_mm"], template["height_mm"]) == pytest.approx(across)
        assert kit.sheet.counts("H", 6, 6, 0)
    tools, areas = ("drag_blade", "laser"), (0.6495, 2.5981, 10.3923)
    assert sorted(seen) == sorted((tool, area) for tool in tools for area in areas)


def test_size_of_another_shape_is_answered_with_the_shapes_own(studio: Studio) -> None:
    """An octagon has no `length`: it is sized by its side, across its flats or its corners."""
    shapes = [{"kind": "octagon", "side": "1"}]
    body = {**REQUEST, "shapes": shapes, "sizes": [{"side": "2"}, {"length": "2"}]}
    answer = studio.client.post("/v1/batches", json=body)
    assert answer.status_code == 422
    (fault,) = answer.get_json()["errors"]
    assert fault["pointer"] == "#/sizes/1"
    assert "The octagon cannot have this size; see length." in fault["detail"]
    assert "side; or across_flats; or across_corners" in fault["detail"]


def test_sizes_over_a_blocks_kit_are_one_error_each(studio: Studio) -> None:
    """Each of the block's four kinds of pieces is drawn; a hexagon beside them has no `length`."""
    example = Path(__file__).resolve().parents[2] / "openapi" / "examples" / "harbour-block.json"
    kit = studio.client.post("/v1/blocks", json=json.loads(example.read_text())).get_json()["kit"]
    assert [piece["shape"]["kind"] for piece in kit["pieces"]] == ["custom"] * 4
    sizes = [{"side": "1 in"}, {"length": "2 in"}]
    drawn = (
        "A custom outline has the size it is drawn in; name in `pieces` those to be sized, or "
        "leave `sizes` out."
    )

    def errors() -> list[tuple[str, str]]:
        answer = studio.client.post("/v1/batches", json={"request": kit, "sizes": sizes})
        assert answer.status_code == 422
        return [(each["pointer"], each["detail"]) for each in answer.get_json()["errors"]]

    assert errors() == [("#/sizes/0", drawn), ("#/sizes/1", drawn)]
    kit["pieces"] += [{"id": "H", "shape": {"kind": "hexagon", "side": "1 in"}}]
    kit["pieces"] += [{"id": "I", "shape": {"kind": "hexagon", "side": "2 in"}}]
    first, second = errors()
    assert first == ("#/sizes/0", drawn)
    assert second[0] == "#/sizes/1"
    assert second[1].startswith(f"{drawn} The hexagon cannot have this size; see length.")
    assert second[1].count("hexagon") == 1

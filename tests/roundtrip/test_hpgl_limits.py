"""HP-GL for machines with small line buffers, whole speeds, and coordinates of 16 bits.

Source:
    "The HP-GL/2 and HP RTL Reference Guide", Addison-Wesley 1996, ISBN 0-201-63325-6: integers
    from -32768 to 32767, plotter units of 0.025 mm. Buffers of some 400 characters and speeds in
    whole cm/s are common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from adapters import registry
from adapters.readback import read_back
from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan, Stroke
from service.app import create_app
from service.settings import Settings
from tests.roundtrip import plans

HPGL = registry.get("hpgl")
#: Two gentle arcs, 200 mm wide and 5 mm high: radius (100 ** 2 + 5 ** 2) / (2 * 5) = 1002.5 mm.
GENTLE = Stroke("cut", (Vertex(10.0, 60.0, 0.05), Vertex(210.0, 60.0, 0.05)), closed=True)


def of(*strokes: Stroke) -> CutPlan:
    return replace(plans.plan(), strokes=strokes)


@pytest.mark.parametrize("units_per_mm", [40, 1000])
@pytest.mark.parametrize("arcs", ["chords", "AA"])
def test_instructions_are_at_most_400_characters(units_per_mm: int, arcs: str) -> None:
    far = plans.plan().with_vertices(lambda v: v._replace(x=v.x - 90_000.0, y=v.y - 90_000.0))
    settings = {"units_per_mm": units_per_mm, "wide": True, "arcs": arcs}
    data = HPGL.write(far, settings).data
    assert max(map(len, data.splitlines())) <= 400
    assert read_back("hpgl", data, far, settings) is not None


def test_an_arc_whose_centre_is_out_of_range_is_written_as_chords() -> None:
    """The centres lie 1002.5 - 5 mm above and below the chord: beyond 32767 / 40 = 819.2 mm."""
    small = Stroke("cut", plans.pieces()["clam"].vertices, closed=True)
    written = HPGL.write(of(small, GENTLE), {"arcs": "AA"})
    one, two = written.data.split(b"PU;")[:2]
    assert b"AA" in one
    assert b"AA" not in two
    found = [loss for loss in written.losses if "819.2 mm from the origin" in loss]
    assert len(found) == 1
    assert "chords within 0.005 mm" in found[0]
    assert read_back("hpgl", written.data, of(small, GENTLE), {"arcs": "AA"}) is not None
    # Where the machine reads larger numbers, the arc stays one.
    assert HPGL.write(of(GENTLE), {"arcs": "AA", "wide": True}).data.count(b"AA") == 2


def test_a_speed_that_is_rounded_is_warned_about_and_never_faster() -> None:
    written = HPGL.write(plans.plan(), {"speed_cm_s": 2.7})
    assert b"VS2;" in written.data
    assert any("2.7 cm/s is written as 2 cm/s" in loss for loss in written.losses)
    assert not any("cm/s" in loss for loss in HPGL.write(plans.plan(), {"speed_cm_s": 3}).losses)


@pytest.mark.parametrize("name", ["hpgl", "dxf", "gcode"])
@pytest.mark.parametrize("turn_deg", [0, 90, 180, 270])
@pytest.mark.parametrize("mirror", ["none", "x", "y"])
def test_negative_coordinates_are_warned_about_with_the_origin_that_avoids_them(
    name: str, turn_deg: int, mirror: str
) -> None:
    """By hand: a corner of the bed has no negative coordinates if both axes point into the bed.

    The unit vectors of the machine's axes on the bed, turned and then mirrored.
    """
    across = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}[turn_deg]
    up = (-across[1], across[0])
    across = (-across[0], -across[1]) if mirror == "x" else across
    up = (-up[0], -up[1]) if mirror == "y" else up
    toward = across[0] + up[0], across[1] + up[1]
    best = f"{'lower' if toward[1] > 0 else 'upper'}-{'left' if toward[0] > 0 else 'right'}"
    for origin in ("lower-left", "lower-right", "upper-left", "upper-right", "centre"):
        axes = {"origin": origin, "turn_deg": turn_deg, "mirror": mirror}
        settings = {**plans.SETTINGS.get(name, {}), **axes}
        found = [w for w in registry.get(name).write(plans.plan(), settings).losses if "nega" in w]
        assert len(found) == (origin != best), (origin, best)
        assert all(f"set its origin to {best}." in text for text in found)


def test_the_lowest_coordinates_are_stated() -> None:
    stroke = Stroke("cut", (Vertex(10.0, 20.0), Vertex(30.0, 50.0)), closed=False)
    # The bed is 300 x 200 mm.
    (payload,) = [w for w in HPGL.write(of(stroke), {"origin": "centre"}).losses if "nega" in w]
    assert "x = -140 mm and y = -80 mm" in payload


def test_a_gentle_arc_over_http(tmp_path: Path) -> None:
    """An 8 in piece whose upper edge is an arc of 80 in radius."""
    points: list[Any] = [[0, 0], [8, 0], [8, 3, 0.05], [0, 3]]
    bed = {"width": "12 in", "height": "12 in"}
    formats = {"hpgl": {"arcs": "AA", "origin": "centre"}}
    body = {
        "units": "in",
        "documents": [],
        "pieces": [{"id": "w", "shape": {"kind": "custom", "points": points}}],
        "runs": [
            {
                "cut": "template",
                "cutter": {"tool": {"kind": "pen"}, "bed": bed, "formats": formats},
                "formats": ["hpgl"],
            }
        ],
    }
    client = create_app(Settings(data=tmp_path / "data", compute_seconds=60)).test_client()
    made = client.post("/v1/kits", json=body)
    assert made.status_code == 201, made.get_data(as_text=True)
    (file,) = made.get_json()["runs"][0]["loads"][0]["files"]
    data = client.get(file["href"]).data
    assert b"AA" not in data
    assert file["read_back"]["worst_deviation_mm"] <= math.sqrt(0.5) / 40 + 0.006
    found = " ".join(made.get_json()["warnings"])
    # In the request's units: 819.2 mm, and half the bed's 12 in.
    assert "32.25 in from the origin" in found
    assert "AA instructions" not in found
    assert "negative coordinates" in found
    assert "origin to lower-left" in found

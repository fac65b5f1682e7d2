"""What a cutter's settings change: axes, units, releases, arcs, pens; each is read back.

The outside reader of each does not know the settings: what it finds is turned back by hand.
"""

from __future__ import annotations

import io
import itertools
import math
from dataclasses import replace
from typing import Any

import pytest
from ezdxf import filemanagement as ezdxf

from adapters import registry
from adapters.errors import ReadBackError, SettingError
from adapters.path_deviation import deviation
from adapters.readback import ReadBack, read_back
from adapters.readers import svg
from geometry.model.outline import Vertex
from geometry.model.plan import Stroke
from geometry.shapes.catalogue import build
from tests.roundtrip import plans

ORIGINS = ("lower-left", "lower-right", "upper-left", "upper-right", "centre")
AXES = [
    {"origin": origin, "turn_deg": turn, "mirror": mirror}
    for origin, (turn, mirror) in zip(
        itertools.cycle(ORIGINS),
        itertools.product((0, 90, 180, 270), ("none", "x", "y")),
        strict=False,
    )
]


def checked(name: str, settings: dict[str, Any]) -> ReadBack:
    plan = plans.plan()
    result = {**plans.SETTINGS.get(name, {}), **settings}
    found = read_back(name, registry.get(name).write(plan, result).data, plan, result)
    assert found is not None
    return found


@pytest.mark.parametrize("axes", AXES)
@pytest.mark.parametrize("name", ["hpgl", "dxf", "gcode"])
def test_axes_are_turned_and_read_back(name: str, axes: dict[str, Any]) -> None:
    assert checked(name, axes).worst_deviation <= registry.get(name).resolution
    if axes != {"origin": "lower-left", "turn_deg": 0, "mirror": "none"}:
        plan, payload = plans.plan(), {**plans.SETTINGS.get(name, {}), **axes}
        data = registry.get(name).write(plan, payload).data
        with pytest.raises(ReadBackError):
            read_back(name, data, plan, plans.SETTINGS.get(name, {}))


@pytest.mark.parametrize(
    ("axes", "where"),
    [
        # The point 10, 20 of a 300 x 200 bed, by hand.
        ({"origin": "lower-right"}, (-290, 20)),
        ({"origin": "upper-left"}, (10, -180)),
        ({"origin": "centre"}, (-140, -80)),
        # The machine's x runs up the bed: x is what was y, y what was x the other way.
        ({"turn_deg": 90}, (20, -10)),
        ({"turn_deg": 180}, (-10, -20)),
        ({"turn_deg": 90, "origin": "lower-right"}, (20, 290)),
        ({"mirror": "x"}, (-10, 20)),
        ({"mirror": "y", "origin": "upper-left"}, (10, 180)),
    ],
)
def test_where_a_point_goes(axes: dict[str, Any], where: tuple[float, float]) -> None:
    stroke = Stroke("cut", (Vertex(10, 20), Vertex(30, 50)), False)
    plan = replace(plans.plan(), strokes=(stroke,))
    document = ezdxf.read(io.StringIO(registry.get("dxf").write(plan, axes).data.decode()))
    line: Any = next(iter(document.modelspace()))
    assert next(iter(line.get_points("xy"))) == pytest.approx(where, abs=1e-4)
    lines = registry.get("hpgl").write(plan, axes).data.decode().splitlines()
    assert lines[2] == f"PU{where[0] * 40},{where[1] * 40};"


@pytest.mark.parametrize("release", ["R2000", "R12"])
@pytest.mark.parametrize("entities", ["polylines", "exploded"])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_dxf_releases(release: str, entities: str, units: str) -> None:
    settings = {"release": release, "entities": entities, "units": units}
    assert checked("dxf", settings).worst_deviation <= 0.001
    text = registry.get("dxf").write(plans.plan(), settings).data.decode("ascii")
    document = ezdxf.read(io.StringIO(text))
    assert document.audit().errors == []
    assert document.dxfversion == {"R2000": "AC1015", "R12": "AC1009"}[release]
    kinds = {entity.dxftype() for entity in document.modelspace()}
    polyline = "LWPOLYLINE" if release == "R2000" else "POLYLINE"
    assert kinds == ({polyline, "CIRCLE"} if entities == "polylines" else {"LINE", "ARC", "CIRCLE"})
    if release == "R2000":
        assert document.header["$INSUNITS"] == (4 if units == "mm" else 1)
        assert document.header["$MEASUREMENT"] == (1 if units == "mm" else 0)
    else:
        assert text.startswith(f"999\nunits: {units}\n")
    circle = document.modelspace().query("CIRCLE").first
    assert circle is not None
    assert circle.dxf.radius == pytest.approx(3.175 if units == "mm" else 0.125, abs=1e-6)


def test_dxf_says_what_it_loses() -> None:
    payload = registry.get("dxf").write(plans.plan(), {"release": "R12", "entities": "exploded"})
    assert any("does not state its units" in loss for loss in payload.losses)
    assert any("not joined" in loss for loss in payload.losses)


@pytest.mark.parametrize("units_per_mm", [40, 10, 100, 1 / 0.02488])
@pytest.mark.parametrize("arcs", ["chords", "AA"])
def test_hpgl_grids_and_arcs(units_per_mm: float, arcs: str) -> None:
    settings = {"units_per_mm": units_per_mm, "arcs": arcs}
    allowed = 3 * math.sqrt(0.5) / units_per_mm + 0.006
    assert checked("hpgl", settings).worst_deviation <= allowed


def test_hpgl_by_ezdxf_with_arcs() -> None:
    from ezdxf.addons.hpgl2 import api as hpgl2

    data = registry.get("hpgl").write(plans.plan(), {"arcs": "AA"}).data
    assert b"\nAA" in data
    player = hpgl2.record_plotter_output(b"\x1b%1B" + data, hpgl2.MergeControl.NONE)
    places = [
        (p.x / 40.0, p.y / 40.0) for _, _, points in player.recordings() for p in points.vertices()
    ]
    clam = plans.pieces()["clam"].bounds
    inside = [p for p in places if clam.left - 1 < p[0] < clam.right + 1 and p[1] < clam.top + 1]
    assert max(x for x, _ in inside) == pytest.approx(clam.right, abs=0.06)
    assert max(y for x, y in inside if x > clam.left) == pytest.approx(clam.top, abs=0.06)


def test_hpgl_speed_and_shared_pens() -> None:
    settings = {"speed_cm_s": 12, "pens": {"cut": 2, "score": 2, "mark": 2}}
    written = registry.get("hpgl").write(plans.plan(), settings)
    assert b"SP2;\nVS12;\n" in written.data
    assert any("one pen for several" in loss for loss in written.losses)
    checked("hpgl", settings)


@pytest.mark.parametrize(
    ("name", "settings", "setting"),
    [
        ("hpgl", {"origin": "middle"}, "origin"),
        ("hpgl", {"turn_deg": 45}, "turn_deg"),
        ("hpgl", {"turn_deg": "90"}, "turn_deg"),
        ("hpgl", {"mirror": True}, "mirror"),
        ("hpgl", {"arcs": "AR"}, "arcs"),
        ("hpgl", {"speed_cm_s": 0}, "speed_cm_s"),
        ("dxf", {"release": "R14"}, "release"),
        ("dxf", {"entities": "splines"}, "entities"),
        ("dxf", {"units": "cm"}, "units"),
        ("pdf", {"paper": "napkin"}, "paper"),
        ("pdf", {"overlap_mm": math.nan}, "overlap_mm"),
    ],
)
def test_wrong_settings_are_named(name: str, settings: dict[str, Any], setting: str) -> None:
    with pytest.raises(SettingError) as caught:
        registry.get(name).write(plans.plan(), settings)
    assert caught.value.setting == setting
    assert setting in str(caught.value)


def test_a_half_circle_on_the_other_side_is_seen() -> None:
    """Both halves of a circle lie on the same circle; only the side of the chord tells them."""
    clam = build("clamshell", {"width": 50.8}).vertices
    right = Stroke("cut", clam, True)
    flipped = tuple(v._replace(bulge=-v.bulge if abs(v.bulge) == 1.0 else v.bulge) for v in clam)
    wrong = Stroke("cut", flipped, True)
    assert wrong != right
    plan = replace(plans.plan(), strokes=(wrong,))
    (read,) = svg.read(registry.get("svg").write(plan, {}).data)
    assert deviation(read, right) > 1.0
    assert deviation(read, wrong) < 0.001


def test_segments_that_the_grid_swallows_are_followed() -> None:
    steps = [Vertex(10 + 0.004 * k, 10 + 0.002 * (k % 2)) for k in range(40)]
    stroke = Stroke("cut", (Vertex(0, 0), *steps, Vertex(20, 0)), True)
    plan = replace(plans.plan(), strokes=(stroke,))
    for name in ("hpgl", "dxf", "svg", "pdf", "gcode"):
        settings = plans.SETTINGS.get(name, {})
        found = read_back(name, registry.get(name).write(plan, settings).data, plan, settings)
        assert found is not None

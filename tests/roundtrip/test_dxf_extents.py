"""The header of a saved DXF states the drawing's true extents and the bed's limits."""

from __future__ import annotations

import copy
import io
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from ezdxf import bbox
from ezdxf import filemanagement as ezdxf
from flask.testing import FlaskClient

from adapters import registry
from adapters.errors import ReadBackError
from adapters.readback import read_back
from service.app import create_app
from service.settings import Settings
from tests.roundtrip import plans

#: The notched flag and the circle that were reported; the bed is 150 x 100 mm.
REQUEST: dict[str, Any] = {
    "title": "ext",
    "units": "mm",
    "documents": [],
    "pieces": [
        {
            "id": "flag",
            "shape": {
                "kind": "custom",
                "points": [
                    [5, 0], [30, 0], [30, 12, 0.41421356237309503], [22, 20], [0, 20], [0, 5],
                    [5, 5],
                ],
            },
            "quantity": 3,
            "seam_allowance": "3 mm",
            "mirror": True,
        },
        {
            "id": "circ",
            "shape": {"kind": "circle", "diameter": "30 mm"},
            "quantity": 1,
            "seam_allowance": "1/4 in",
        },
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": {"tool": {"kind": "pen"}, "bed": {"width": 150, "height": 100}},
            "formats": ["dxf"],
        }
    ],
}  # fmt: skip


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FlaskClient]:
    app = create_app(Settings(data=tmp_path_factory.mktemp("data"), compute_seconds=60))
    yield app.test_client()
    app.extensions["quarterseam-store"]().close()


@pytest.mark.parametrize("release", ["R12", "R2000"])
@pytest.mark.parametrize(
    ("units", "axes", "limits"),
    [
        ("in", {}, ((0.0, 0.0), (150 / 25.4, 100 / 25.4))),
        ("mm", {"origin": "centre"}, ((-75.0, -50.0), (75.0, 50.0))),
        # The machine's x runs up the bed, its y against the bed's x.
        ("mm", {"turn_deg": 90}, ((0.0, -150.0), (100.0, 0.0))),
    ],
)
def test_extents_and_limits(
    client: FlaskClient, release: str, units: str, axes: dict[str, Any], limits: Any
) -> None:
    """The extents are compared with the box that ezdxf measures around the saved entities."""
    body = copy.deepcopy(REQUEST)
    settings = {"release": release, "units": units, **axes}
    body["runs"][0]["cutter"]["formats"] = {"dxf": settings}
    kit = client.post("/v1/kits", json=body)
    assert kit.status_code == 201, kit.get_data(as_text=True)
    (file,) = kit.get_json()["runs"][0]["loads"][0]["files"]
    saved = ezdxf.read(io.StringIO(client.get(file["href"]).data.decode("ascii")))
    box = bbox.extents(saved.modelspace())
    # ezdxf measures curves by points within a hundredth of a millimetre.
    near = 0.02 if units == "mm" else 0.001
    assert saved.header["$EXTMIN"][:2] == pytest.approx(tuple(box.extmin)[:2], abs=near)
    assert saved.header["$EXTMAX"][:2] == pytest.approx(tuple(box.extmax)[:2], abs=near)
    assert saved.header["$LIMMIN"][:2] == pytest.approx(limits[0], abs=1e-4)
    assert saved.header["$LIMMAX"][:2] == pytest.approx(limits[1], abs=1e-4)


def test_an_empty_drawing_has_the_bed_s_extents() -> None:
    plan = plans.plan()
    empty = replace(plan, strokes=())
    saved = ezdxf.read(io.StringIO(registry.get("dxf").write(empty, {}).data.decode("ascii")))
    assert saved.header["$EXTMAX"][:2] == (plan.bed_width, plan.bed_height)


def test_wrong_extents_are_not_handed_out() -> None:
    data = registry.get("dxf").write(plans.plan(), {}).data
    saved = ezdxf.read(io.StringIO(data.decode("ascii")))
    right = f"{saved.header['$EXTMAX'][0]:.4f}".rstrip("0")
    assert f"$EXTMAX\n 10\n{right}" in data.decode("ascii")
    wrong = data.replace(f"$EXTMAX\n 10\n{right}".encode(), b"$EXTMAX\n 10\n1.0")
    with pytest.raises(ReadBackError, match="extents"):
        read_back("dxf", wrong, plans.plan(), {})

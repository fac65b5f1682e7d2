"""A warning that several pieces share is one line that names them."""

from __future__ import annotations

from typing import Any

import pytest

from service.app import create_app
from service.settings import Settings
from service.tools.built_in import BUILT_IN
from tests import requested

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester

# The two corners of 45 degrees of each: a mitre would reach 1/4 in / sin 22.5 degrees = 16.59 mm
# beyond the template, 2.6 allowances.
_SHAPE = {"kind": "diamond_45", "side": "3 1/2"}
_WHY = (
    "(45 degrees) are cut blunt: a mitre would reach 0.653 in beyond the template's corner, more "
    "than 2 times the allowance."
)


def _pieces(count: int) -> list[dict[str, Any]]:
    piece = {
        "shape": _SHAPE,
        "quantity": 8,
        "seam_allowance": "1/4",
        "corners": {"kind": "mitre", "limit": 2},
    }
    return [piece | {"id": f"R{number}"} for number in range(1, count + 1)]


@pytest.mark.parametrize(
    ("count", "names"),
    [
        (1, 'Piece "R1": '),
        (2, 'Pieces "R1" and "R2": '),
        (3, 'Pieces "R1", "R2" and "R3": '),
        (23, "Pieces " + ", ".join(f'"R{n}"' for n in range(1, 21)) + " and 3 more: "),
    ],
)
def test_pieces_with_the_same_blunt_corner_share_a_line(
    count: int, names: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    settings = Settings(data=tmp_path_factory.mktemp("data"), compute_seconds=600)
    client = create_app(settings).test_client()
    body = {"units": "in", "pieces": _pieces(count)}
    found = client.post("/v1/outlines", json=body).get_json()["warnings"]
    assert found == [f"{names}corners 0 and 2 {_WHY}"]


def test_another_allowance_is_another_line() -> None:
    mixed = [*_pieces(2), _pieces(1)[0] | {"id": "W", "seam_allowance": "3/8"}]
    made = requested.kit(
        {
            "title": "Slipway star",
            "units": "in",
            "pieces": mixed,
            "runs": [
                {
                    "cut": "patch",
                    "cutter": "indexed-blade-hoop",
                    "formats": ["svg"],
                    "effort": "quick",
                    "material": {"name": "blue cotton", "kind": "stiffened_fabric"},
                }
            ],
        },
        BUILT_IN.get,
        read_back=False,
    )
    of_pieces = [line for line in made.answer["warnings"] if line.startswith("Piece")]
    assert [line.split(":")[0] for line in of_pieces] == ['Pieces "R1" and "R2"', 'Piece "W"']
    page = made.files["run-sheet.html"].decode()
    assert page.count("Pieces &#34;R1&#34; and &#34;R2&#34;") == 1

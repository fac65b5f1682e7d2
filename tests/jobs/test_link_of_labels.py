"""The link behind a label's square code: a misspelt place for the number is not printed 24 times.

A square code leads to one address. `{number}` in it is the kit's number; `{nummer}` would be
printed as it stands on every label, and lead nowhere.
"""

from __future__ import annotations

from typing import Any

from tests.jobs.studio import Studio


def _request(link: str) -> dict[str, Any]:
    return {
        "title": "Tags",
        "units": "in",
        "copies": 24,
        "labels": {"link": link},
        "pieces": [{"id": "A", "shape": {"kind": "hexagon", "side": 1}, "quantity": 7}],
        "runs": [{"cut": "template", "cutter": "drag-blade-sheet"}],
    }


def test_misspelt_number_in_a_link_is_refused(studio: Studio) -> None:
    """The error names what would be right, and with it the kit is made."""
    for wrong in ("https://studio.example/{nummer}", "https://studio.example/{number"):
        answer: Any = studio.client.post("/v1/kits", json=_request(wrong))
        assert answer.status_code == 422
        (fault,) = answer.json["errors"]
        assert fault["pointer"] == "#/labels/link"
        assert "{number}" in fault["detail"]
    for right in ("https://studio.example/kits?number={number}", "https://studio.example/"):
        assert studio.kit(_request(right)).payload["copies"] == 24

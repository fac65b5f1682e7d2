"""One of each that is saved by name, as a request to save it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

_EXAMPLES = Path(__file__).resolve().parents[1] / "openapi" / "examples"
CUTTER: dict[str, Any] = {
    "units": "mm",
    "tool": {"kind": "drag_blade", "offset": 0.25},
    "bed": {"width": 300, "height": 300},
}


def saved_as(name: str) -> dict[str, Any]:
    """Return the bodies of a cutter, a block and a price list by the addresses for a name."""
    return {
        f"/v1/cutters/{name}": CUTTER,
        f"/v1/blocks/{name}": json.loads((_EXAMPLES / "harbour-block.json").read_text()),
        f"/v1/price-lists/{name}": {"currency": "EUR", "machine_per_hour": "20"},
    }

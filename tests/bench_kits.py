"""The ten kits whose sheets and pictures are looked at, made once for all tests of a process."""

from __future__ import annotations

import functools
from pathlib import Path

from service.documents.model import RunSheet
from service.schemas import strict_json
from tests import requested

KITS = sorted((Path(__file__).parent / "fixtures" / "bench_kits").glob("*.json"))
#: A card on a mat, a die, vinyl in pairs: the short form of what all ten go through.
SHORT_KITS = [path for path in KITS if path.stem.startswith(("01-", "04-", "08-"))]


@functools.cache
def sheet_and_kit(path: Path) -> tuple[RunSheet, requested.Made]:
    """Return the run sheet of a kit, and the kit itself."""
    return requested.run_sheet(strict_json.loads(path.read_bytes(), max_depth=32))


@functools.cache
def counted_sheet_and_kit(path: Path) -> tuple[RunSheet, requested.Made]:
    """Return the same with one file for each load, whose strokes somebody may have to count."""
    body = strict_json.loads(path.read_bytes(), max_depth=32)
    runs = [{**run, "one_file_per": "load"} for run in body["runs"]]
    return requested.run_sheet({**body, "runs": runs})

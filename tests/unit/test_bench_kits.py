"""The requests of ten kits that are printed and looked at are requests of this version."""

from __future__ import annotations

from pathlib import Path

import pytest

from service.requests.kits import kit_request
from service.schemas import strict_json
from service.tools import KINDS, kind_of
from service.tools.built_in import BUILT_IN
from tests.bench_kits import KITS


def test_ten_kits_use_every_tool() -> None:
    requests = [
        kit_request(strict_json.loads(each.read_bytes(), max_depth=32), BUILT_IN.get)
        for each in KITS
    ]
    assert len(requests) == 10
    assert {each.units for each in requests} == {"in", "mm", "cm"}
    assert {kind_of(run.cutter.tool) for each in requests for run in each.runs} == set(KINDS)


@pytest.mark.parametrize("path", KITS, ids=lambda path: path.stem)
def test_each_kit_prints_sheet_and_labels(path: Path) -> None:
    request = kit_request(strict_json.loads(path.read_bytes(), max_depth=32), BUILT_IN.get)
    assert {"run_sheet", "labels"} <= set(request.documents)

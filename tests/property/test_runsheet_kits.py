"""Random kits: the run sheet and the labels of each are set in type.

The long form makes 1,000 kits (``pytest -m long tests/property/test_runsheet_kits.py -s``) and
prints how many of them needed plain text: none may.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Any

import pypdfium2
import pytest

from geometry.shapes.catalogue import CATALOGUE
from service.errors import RequestError
from service.http.problems import problem_of
from service.tools.built_in import BUILT_IN
from tests import requested

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester

_SHORT, _LONG = 3, 1000
_WORDS = ("harbour", "slipway", "Größe", "tide-table", "W" * 40, "a", "mooring <b>", "&amp;")
_MATERIALS = ("paper", "card", "coated_paper", "fabric", "stiffened_fabric", "other")
_KINDS = sorted(CATALOGUE)


def _text(lot: random.Random, most: int) -> str:
    return " ".join(lot.choices(_WORDS, k=lot.randint(1, 12)))[:most].strip() or "x"


def _piece(lot: random.Random, number: int) -> dict[str, Any]:
    return {
        "id": f"{lot.choice('ABC')}{'x' * lot.choice([0, 0, 3, 26])}-{number}",
        "shape": {"kind": (kind := lot.choice(_KINDS)), **dict(CATALOGUE[kind].example)},
        "quantity": lot.choice([1, 2, 7]),
        "seam_allowance": lot.choice(["0 in", "1/4 in", "3 mm"]),
        "corners": {"kind": lot.choice(["blunt", "round"])},
        "grain": lot.choice(["free", "free", "half-turn", "fixed"]),
    }


def _run(lot: random.Random) -> dict[str, Any]:
    cutter = lot.choice(sorted(BUILT_IN))
    layered: dict[str, Any] = {}
    if lot.random() < 0.4:
        layered = {"layers": lot.choice([2, 4]), "stack": lot.choice(["face_up", "face_to_face"])}
    return {
        "cut": lot.choice(["template", "patch"]),
        "cutter": cutter,
        "formats": lot.sample(["svg", "dxf", "plan"], lot.randint(1, 2)),
        "effort": "quick",
        "one_file_per": lot.choice(["load", "station"]),
        "material": {"name": _text(lot, 80), "kind": lot.choice(_MATERIALS)},
        **layered,
    }


def _request(lot: random.Random) -> dict[str, Any]:
    # Few large kits: what is tested is how sheets break, not how loads are filled.
    pieces = lot.choice([1, 1, 2, 2, 3, 3, 4, 6, 6, 24])
    return {
        "title": _text(lot, 120),
        "units": lot.choice(["in", "cm", "mm"]),
        "pieces": [_piece(lot, number) for number in range(pieces)],
        "runs": [_run(lot) for _ in range(lot.choice([1, 1, 1, 2, 3]))],
    }


def _kits(count: int) -> Iterator[tuple[int, requested.Made]]:
    """Yield so many random kits with their seeds; requests that are refused do not count."""
    seed = made = 0
    while made < count:
        seed += 1
        try:
            lot = random.Random(seed)  # noqa: S311 - the same kits each time
            bundle = requested.kit(_request(lot), BUILT_IN.get, read_back=False)
        except RequestError as problem:
            assert problem_of(problem).status == 422, (seed, problem)
            assert seed < 4 * count + 20, "nearly every request is refused"
            continue
        made += 1
        yield seed, bundle


def _needing_text(count: int) -> list[int]:
    """Return the seeds of the kits whose sheet or labels are plain text."""
    needing = []
    for seed, bundle in _kits(count):
        if {"run-sheet.txt", "labels.txt"} & set(bundle.files):
            needing.append(seed)
            continue
        for name in ("run-sheet.pdf", "labels.pdf"):
            assert len(pypdfium2.PdfDocument(bundle.files[name])) > 0, (seed, name)
    return needing


def test_no_random_kit_needs_plain_text() -> None:
    assert _needing_text(_SHORT) == []


@pytest.mark.long
@pytest.mark.timeout(7200)
def test_none_of_a_thousand_random_kits_needs_plain_text(
    capsys: pytest.CaptureFixture[str],
) -> None:
    needing = _needing_text(_LONG)
    with capsys.disabled():
        print(f"\n{len(needing)} of {_LONG} random kits needed plain text: {needing}")
    assert needing == []

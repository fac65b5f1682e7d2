"""Numbers of an answer carry no noise of binary arithmetic, and lose nothing else."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from service.schemas.rounding import rounded_rows, without_noise
from service.tools.built_in import BUILT_IN
from tests.requested import kit


def test_noise_goes_and_numbers_stay() -> None:
    payload: dict[str, Any] = without_noise(
        {"a": [8.881784197001252e-16, 12.700000000000003], "b": -1e-17, "c": 7}
    )
    assert payload == {"a": [0.0, 12.7], "b": 0.0, "c": 7}
    assert math.copysign(1.0, payload["b"]) == 1.0
    assert type(payload["c"]) is int
    assert without_noise({"yes": True, "no": None, "word": "x"}) == {
        "yes": True,
        "no": None,
        "word": "x",
    }
    # A third of a thousandth of a millimetre, and a bulge: both to twelve decimals.
    assert without_noise(1 / 3000) == 0.000333333333
    assert abs(without_noise(math.tan(math.pi / 8)) - math.tan(math.pi / 8)) < 1e-12


def test_large_numbers_have_fifteen_digits() -> None:
    """80 + 20 mm squared, 36 in2 and 79.88 m as they come out of binary arithmetic."""
    for noisy, plain in (
        (10000.000000000002, 10000.0),
        (23225.759999999995, 23225.76),
        (-79879.99999999997, -79880.0),
        (999.9999999999999, 1000.0),
    ):
        assert without_noise(noisy) == plain
        assert without_noise([noisy, [noisy]]) == [plain, [plain]]
        assert rounded_rows(np.array([[noisy]])) == [[plain]]
    assert without_noise([math.inf, 1e300]) == [math.inf, 1e300]
    assert without_noise(123456.789012345) == 123456.789012345


def _numbers(value: Any) -> Iterator[float]:
    if isinstance(value, float):
        yield value
    elif isinstance(value, dict):
        for each in value.values():
            yield from _numbers(each)
    elif isinstance(value, list):
        for each in value:
            yield from _numbers(each)


def test_a_kit_has_no_noise() -> None:
    """A 2 in hexagon's corners and their sums come out as such numbers as -8.9e-16."""
    body = {
        "units": "in",
        "pieces": [{"id": "H", "shape": {"kind": "hexagon", "side": "1"}, "quantity": 9}],
        "runs": [
            {
                "cut": "template",
                "cutter": "laser-bed",
                "effort": "quick",
                "formats": ["svg"],
                "material": {"name": "card", "kind": "card"},
            }
        ],
    }
    answer = kit(body, BUILT_IN.get).answer
    numbers = list(_numbers(answer))
    assert len(numbers) > 50
    assert not [each for each in numbers if 0.0 < abs(each) < 1e-12]
    assert not [each for each in numbers if each != without_noise(each)]

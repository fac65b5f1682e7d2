"""The JSON of a drawn block: what the codec of answers makes of it, number by number."""

from __future__ import annotations

import itertools
import math
import random

import numpy as np
import orjson
import pytest

from geometry.blocks.gallery import GALLERY
from service.blocks import block_answer
from service.requests.drawn_blocks import DrawnBlockRequestSchema
from service.requests.gallery_blocks import gallery
from service.sandbox.tasks import block
from service.schemas.codec import dump, dump_rounded
from service.schemas.loading import load
from service.schemas.rounding import rounded, rounded_rows


@pytest.mark.parametrize("name", ["compass", "orange-peel", "bear-paw", "eight-point-star"])
def test_an_answer_is_written_as_the_codec_writes_it(name: str) -> None:
    """Nothing is left out, and rounding it again changes nothing."""
    assert name in GALLERY
    body = {**gallery()[name]["drawing"], "finished_width": "7 1/3 in", "blocks": 3}
    request = load(DrawnBlockRequestSchema(), body)
    answer = block_answer(request, None)
    written, plan = block(60.0, request, None)
    found = orjson.loads(written)
    assert list(found) == list(dump(answer))
    assert found == dump(answer) == dump_rounded(answer)
    assert found["block"] == plan


def test_numbers_of_an_array_are_rounded_as_single_ones() -> None:
    """0.1 + 0.2, zeros with a sign, thousandths of a nanometre, and numbers without decimals."""
    parts = [
        0.1 + 0.2,
        1e-13,
        12.700000000000003,
        25.4 / 3,
        math.pi,
        4095.999999999999,
        9e6 / 7,
        1e15,
    ]
    # About halves, of which single ones are rounded by their exact value.
    rng = random.Random(3)  # noqa: S311 - numbers, no secrets
    parts += [
        rng.uniform(0.0, most) for most in (1.0, 100.0, 4096.0, 8192.0, 1e6) for _ in "9" * 400
    ]
    values = [sign * each for sign, each in itertools.product((1.0, -1.0), [0.0, *parts])]
    found = rounded_rows(np.array(values))
    assert found == [rounded(each) for each in values]
    assert not any(math.copysign(1.0, each) < 0.0 for each in found if each == 0.0)

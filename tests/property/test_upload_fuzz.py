"""Readers of drawings and of our own files: whatever comes, an answer or a refusal, nothing else.

The short form runs in CI. The long form takes ten minutes for each reader: ``pytest -m long
tests/property/test_upload_fuzz.py``, with ``-k svg`` for one, or see ``reader_fuzz``.
"""

from __future__ import annotations

import time

import pytest

from tests.property.reader_fuzz import READERS, fuzz


@pytest.mark.parametrize("reader", READERS)
def test_a_hundred_broken_files(reader: str) -> None:
    assert fuzz(reader, lambda tried: tried < 100)[0] == 100


@pytest.mark.long
@pytest.mark.timeout(1800)
@pytest.mark.parametrize("reader", READERS)
def test_ten_minutes_of_broken_files(reader: str) -> None:
    end = time.monotonic() + 600
    assert fuzz(reader, lambda _: time.monotonic() < end)[0] > 100

"""Fixtures for tests of formats."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest

from tests.roundtrip.odd_plugin import Plug, forget, install


@pytest.fixture
def plug(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Plug]:
    """Give a function that installs a plug-in: the body of its class, or its whole module."""
    monkeypatch.syspath_prepend(tmp_path)
    forget()
    yield partial(install, tmp_path)
    monkeypatch.undo()
    forget()

"""Drawings of blocks as files over HTTP: a block, its pages or a problem, whatever is sent.

The short form runs in CI; for ten minutes of them see ``block_upload_fuzz``.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from service.app import create_app
from service.settings import Settings
from tests.property.block_upload_fuzz import sent
from tests.short_form import short_form


@pytest.mark.parametrize("files", short_form([80, 1000], [80]))
def test_random_files_give_a_block_or_a_problem(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, files: int
) -> None:
    """Computed in this process, so that whatever fails is seen; 600 s, so that nothing is late."""
    monkeypatch.setattr("service.sandbox.run.is_here", lambda **_: True)
    app = create_app(Settings(data=tmp_path, compute_seconds=600))
    outcomes = Counter(sent(app.test_client(), number) for number in range(files))
    app.extensions["quarterseam-store"]().close()
    # Neither always one nor always the other.
    assert min(outcomes["block"], outcomes["pages"], outcomes["refused"]) > 0

"""Long runs are asked for by their mark; a plain run skips them aloud."""

from __future__ import annotations

import pytest

from service.tools import known_layouts


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Skip what is marked long unless the mark is named."""
    if "long" in str(config.getoption("-m")):
        return
    for item in items:
        if item.get_closest_marker("long"):
            item.add_marker(pytest.mark.skip(reason="a long run; ask for it with -m long"))


@pytest.fixture(autouse=True)
def _no_layout_is_known() -> None:
    """Have every test find its layouts itself, whatever ran before it."""
    known_layouts.clear()

"""A warning that several runs share is one line that names them."""

from __future__ import annotations

import pytest

from service.kits.run_warnings import RunWarnings


@pytest.mark.parametrize(
    ("runs", "names"),
    [
        ([1], "Run 1"),
        ([1, 2], "Runs 1 and 2"),
        ([1, 2, 3], "Runs 1 to 3"),
        ([1, 2, 4], "Runs 1, 2 and 4"),
        ([1, 2, 3, 5, 7, 8, 9], "Runs 1 to 3, 5 and 7 to 9"),
    ],
)
def test_runs_that_share_a_warning_are_named_together(runs: list[int], names: str) -> None:
    warnings = RunWarnings()
    for run in runs:
        warnings.extend(run, ["snip the ties.", "snip the ties."])
    warnings.extend(9, ["its own."])
    assert warnings.lines() == [f"{names}: snip the ties.", "Run 9: its own."]

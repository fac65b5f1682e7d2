"""The table of ratios: what it reads again, and what it calls worse."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmarks.table import SCRIPTS, Figure, Script, print_rows, read_table

SCRIPT = Script("bench_tide.py", (), "a bare script", (
    Figure("tide", r"^tide ([\d.]+)", 2.0),
    Figure("answers", r"^answers ([\d.]+)", 45, more_is_better=True),
))  # fmt: skip


def test_a_printed_table_is_read_again(capsys: pytest.CaptureFixture[str]) -> None:
    complete, worse = print_rows(SCRIPT, "tide 1.95\nanswers 40\n", {})
    printed = capsys.readouterr().out
    assert complete
    assert not worse
    assert printed.splitlines() == [
        "| tide | a bare script (`bench_tide.py`) | 1.95 | at most 2 | yes |",
        "| answers | a bare script (`bench_tide.py`) | 40 | at least 45 | no |",
    ]
    assert read_table(printed) == {"tide": 1.95, "answers": 40.0}


def test_what_got_worse_by_more_than_a_tenth_is_named() -> None:
    before = {"tide": 1.7, "answers": 45.0}
    assert print_rows(SCRIPT, "tide 1.88\nanswers 40\n", before)[1] == [
        "tide: 1.88, was 1.7",
        "answers: 40, was 45",
    ]
    assert print_rows(SCRIPT, "tide 1.86\nanswers 41\n", before)[1] == []


def test_a_figure_that_is_not_printed_is_no_success() -> None:
    assert print_rows(SCRIPT, "tide 1.9\n", {})[0] is False


def test_every_script_of_the_table_is_there_and_no_name_twice() -> None:
    folder = Path(__file__).parent.parent / "benchmarks"
    assert all((folder / script.file).is_file() for script in SCRIPTS)
    names = [figure.name for script in SCRIPTS for figure in script.figures]
    assert len(names) == len(set(names)) > 30

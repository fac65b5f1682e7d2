"""Layouts beside a general nester alone and beside plain straight rows: one table.

    python -m tests.benchmarks.bench_layout > tests/benchmarks/LAYOUTS.md
    python -m tests.benchmarks.bench_layout --only hoop --efforts normal --keep FILE
    python -m tests.benchmarks.bench_layout --instances FOLDER --seconds 120 --beside
                                                                 published strip packings
    python -m tests.benchmarks.bench_layout --growth             time against pieces placed

12 shapes x 5 work areas, patches with 1/4 in allowance, gap 1 mm, and 12 mixed kits. The nester
alone has the budget for a case, its search over counts included, one thread. Seconds are of
processor time, of every process that a layout starts. Needs spyrrow.
"""

from __future__ import annotations

import argparse
import json
import statistics
import sys
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, field
from functools import partial
from pathlib import Path
from typing import Any, TypeAlias

from geometry.layout import Item, Layout
from geometry.layout.bound import min_loads, most_on_one
from geometry.model.cutter import WorkArea
from geometry.proof.overlap import check_load
from tests.benchmarks import layout_cases as cases
from tests.benchmarks.layout_rolls import growth, instances
from tests.benchmarks.nester_alone import Alone, straight
from tests.benchmarks.processor_time import timed
from tests.layouts import lay_out

GAP = cases.GAP
#: Rows as they are kept, by their names.
Kept: TypeAlias = dict[str, dict[str, Any]]


@dataclass
class Row:
    """What came of one case: counts of pieces, or of loads, and seconds."""

    name: str
    bound: int = 0
    nester: int = 0
    nester_s: float = 0.0
    rows: int = 0
    ours: dict[str, int] = field(default_factory=dict)
    ours_s: dict[str, float] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)


def _ours(
    row: Row, items: list[Item], room: WorkArea, efforts: list[str], count: Callable[[Layout], int]
) -> None:
    """Measure what is not known yet of ours."""
    outlines = {item.piece: item.outline for item in items}
    for effort in efforts:
        if effort in row.ours:
            continue
        layout, row.ours_s[effort] = timed(partial(lay_out, items, room, gap=GAP, effort=effort))
        row.ours[effort] = count(layout)
        row.notes += [] if layout.complete else [f"{effort} cut short"]
        faults = [check_load(outlines, load, room, GAP) for load in layout.loads]
        row.notes += [f"{effort} NOT SOUND"] if any(faults) else []


def one_kind(case: tuple[str, Item, WorkArea], efforts: list[str], budget: int, known: Kept) -> Row:
    name, item, room = case
    row = Row(**known.get(name, {"name": name}))
    row.bound, row.rows = most_on_one(item, room, GAP), straight(item, room)
    _ours(row, [item], room, efforts, lambda layout: len(layout.loads[0].placements))
    if budget and not row.nester_s:
        row.nester, row.nester_s = timed(partial(Alone().one_kind, item, room, budget))
    return row


def mixed(case: tuple[str, list[Item]], efforts: list[str], budget: int, known: Kept) -> Row:
    name, items = case
    row = Row(**known.get(name, {"name": name}))
    row.bound = min_loads(items, cases.LETTER, GAP)
    _ours(row, items, cases.LETTER, efforts, lambda layout: sum(x.repeats for x in layout.loads))
    if budget and not row.nester_s:
        row.nester, row.nester_s = timed(partial(Alone().loads, items, cases.LETTER, budget))
    return row


def _line(row: Row, efforts: list[str], *, with_rows: bool) -> str:
    cells = [row.name, *(str(row.ours.get(effort, "-")) for effort in efforts), str(row.nester)]
    cells += [str(row.rows)] if with_rows else []
    took = (f"{row.ours_s[each]:.2f}" if each in row.ours_s else "-" for each in efforts)
    cells += [str(row.bound), *took]
    cells += [f"{row.nester_s:.1f}", "; ".join(row.notes)]
    return f"| {' | '.join(cells)} |"


def _head(first: str, efforts: list[str], *, with_rows: bool) -> str:
    cells = [first, *efforts, "nester", *(["rows"] if with_rows else []), "bound"]
    cells += [*(f"{effort} s" for effort in efforts), "nester s", "notes"]
    return f"| {' | '.join(cells)} |\n|{' --- |' * len(cells)}"


def _pieces_told(all_rows: list[Row], efforts: list[str]) -> None:
    for effort in efforts:
        rows = [row for row in all_rows if effort in row.ours]
        theirs = sum(max(row.nester, row.rows) for row in rows)
        ours = sum(row.ours[effort] for row in rows)
        below = [
            f"{row.name} ({row.ours[effort]} against {max(row.nester, row.rows)})"
            for row in rows
            if row.ours[effort] < max(row.nester, row.rows)
        ]
        more = sum(row.ours[effort] > max(row.nester, row.rows) for row in rows)
        ratios = [row.ours_s[effort] / row.nester_s for row in rows if row.nester_s]
        ratio = statistics.median(ratios) if ratios else 0.0
        print(
            f"- `{effort}`, {len(rows)} cases of one kind: {ours} pieces against {theirs} of the "
            f"better of the two, {100.0 * ours / max(1, theirs):.2f} %; more in {more} cases, "
            f"fewer in {len(below)}; median time {ratio:.3f} of the nester's. "
            f"Fewer: {', '.join(below) or 'nowhere'}."
        )


def _loads_told(all_rows: list[Row], efforts: list[str]) -> None:
    for effort in efforts:
        rows = [row for row in all_rows if effort in row.ours]
        theirs, ours = sum(row.nester for row in rows), sum(row.ours[effort] for row in rows)
        worse = [row.name for row in rows if row.ours[effort] > row.nester]
        print(
            f"- `{effort}`, {len(rows)} mixed kits: {ours} loads against {theirs}. "
            f"More loads: {'; '.join(worse) or 'nowhere'}."
        )


_LEGEND = """\
# Layouts measured

Made by `python -m tests.benchmarks.bench_layout`. Pieces on one load (kits: loads) of `normal` and
`best` effort, of the nester alone with 20 s a case, and of straight rows; a bound that nobody can
exceed (kits: go below); seconds of processor time.
"""


def table(
    efforts: list[str], budget: int, only: str, jobs: int, keep: Path | None, *, measure: bool
) -> None:
    """Print the whole document; with ``keep`` what was measured before is taken from there."""
    known: Kept = json.loads(keep.read_text()) if keep is not None and keep.exists() else {}
    singles = [case for case in cases.one_kind() if only in case[0]]
    mixtures = [case for case in cases.mixed() if only in case[0]]
    print(_LEGEND)
    asked = efforts if measure else []
    budget = budget if measure else 0
    with ProcessPoolExecutor(jobs) as pool:
        payload = partial(_printed, efforts=efforts, known=known, keep=keep)
        ask = partial(one_kind, efforts=asked, budget=budget, known=known)
        first = payload(pool.map(ask, singles), "one kind / area", with_rows=True)
        ask = partial(mixed, efforts=asked, budget=budget, known=known)
        second = payload(pool.map(ask, mixtures), "kit on a letter sheet", with_rows=False)
    _pieces_told(first, efforts)
    _loads_told(second, efforts)


def _printed(
    rows: Iterable[Row],
    first: str,
    efforts: list[str],
    known: Kept,
    keep: Path | None,
    *,
    with_rows: bool,
) -> list[Row]:
    print(_head(first, efforts, with_rows=with_rows), flush=True)
    done = []
    for row in rows:
        print(_line(row, efforts, with_rows=with_rows), flush=True)
        print(f"{row.name} done", file=sys.stderr, flush=True)
        done.append(row)
        known[row.name] = asdict(row)
        if keep is not None:
            keep.write_text(json.dumps(known, indent=1, sort_keys=True))
    print()
    return done


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument(
        "--budget", type=int, default=20, help="seconds of the nester, 0 leaves it out"
    )
    parser.add_argument("--efforts", default="normal,best", help="of ours, with commas between")
    parser.add_argument("--only", default="", help="cases whose name holds this")
    parser.add_argument("--jobs", type=int, default=1, help="cases at once")
    parser.add_argument(
        "--keep", type=Path, help="file of results: what it holds is not measured again"
    )
    parser.add_argument(
        "--known", action="store_true", help="measure nothing: print what the file holds"
    )
    parser.add_argument("--instances", type=Path, help="folder of published strip packings")
    parser.add_argument("--seconds", type=float, default=0.0, help="effort for --instances")
    parser.add_argument("--seeds", type=int, nargs="+", default=[0, 1, 2], help="for --instances")
    parser.add_argument("--beside", action="store_true", help="--instances by the nester alone too")
    parser.add_argument("--growth", action="store_true")
    asked = parser.parse_args()
    efforts = asked.efforts.split(",")
    if asked.growth:
        growth()
    elif asked.instances:
        instances(asked.instances, asked.seconds or efforts[0], asked.seeds, beside=asked.beside)
    else:
        table(efforts, asked.budget, asked.only, asked.jobs, asked.keep, measure=not asked.known)


if __name__ == "__main__":
    main()

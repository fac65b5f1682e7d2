"""Every ratio that has a goal, measured by one command, as a table beside its goal.

    python tests/benchmarks/table.py [--only WORD] [--against FILE] > RATIOS.md

Each script runs in a process of its own; together they take less than twenty minutes on two idle
cores. Run it alone on the machine. ``--against FILE`` reads a table printed before and names every
figure that got worse by more than 10 %. The exit code is 1 when a script failed or printed no such
figure, and 2 when figures got worse. A goal that is not reached fails nothing: the table says so.
The pieces of 72 cases beside the general nester take an hour more and have commands and tables of
their own (``bench_layout.py``, ``part_loads.py``).
"""

from __future__ import annotations

import argparse
import os
import platform
import re
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
LONGEST_S = 3600
WORSE = 1.1


@dataclass(frozen=True)
class Figure:
    """One number of a script's output.

    ``pattern`` has one group, the number. ``goal`` is the most that is wanted of it, or the least
    where ``more_is_better``; None where it is only watched.
    """

    name: str
    pattern: str
    goal: float | None = None
    more_is_better: bool = False

    def reached(self, value: float) -> bool:
        """Return whether a value is as good as the goal, which there must be."""
        assert self.goal is not None
        return value >= self.goal if self.more_is_better else value <= self.goal

    def worse(self, value: float, before: float) -> bool:
        """Return whether a value is worse than one before by more than 10 %."""
        return before > value * WORSE if self.more_is_better else value > before * WORSE

    def wanted(self) -> str:
        """Return the goal in words."""
        if self.goal is None:
            return ""
        return f"at {'least' if self.more_is_better else 'most'} {self.goal:g}"


@dataclass(frozen=True)
class Script:
    """A script, what it measures beside what, and its figures."""

    file: str
    arguments: tuple[str, ...]
    beside: str
    figures: tuple[Figure, ...]


def _adapters() -> Iterator[Figure]:
    for name in ("svg", "dxf", "hpgl", "gcode", "pdf", "plan"):
        row = rf"^{name} +[\d.]+ +[\d.]+ +"
        yield Figure(f"{name}: write and read back 500 pieces", row + r"([\d.]+)", 1.6)
        yield Figure(f"{name}: proof of the plan", row + r"[\d.]+ +([\d.]+)", 0.5)


# What bench_page.py says of the page's first answer and of the kit's own, both in milliseconds.
_FIRST = r"an answer drawn (\d+) ms"
_KITS = r"the kit's answer drawn (\d+) ms"

SCRIPTS = (
    Script("bench_small_kit.py", (), "a bare script; the layouts; importing shapely and Flask", (
        Figure("small kit, SVG alone", r"^warm kit, SVG files alone:.*ratio ([\d.]+)", 2.5),
        Figure("small kit, run sheet and labels", r"^warm kit with run sheet.*ratio ([\d.]+)", 4.0),
        Figure("small kit, layouts known", r"^warm the same once.*ratio ([\d.]+)"),
        Figure("POST /v1/layouts over its layouts", r"^POST /v1/layouts.*ratio ([\d.]+)", 1.5),
        Figure("cold cut of the small kit", r"^cold cut of the small kit.*ratio ([\d.]+)"),
        Figure("cold cut of the class set", r"^cold cut of the class set.*ratio ([\d.]+)", 3.0),
        Figure("server to its first kit", r"^cold serve.*ratio ([\d.]+)", 3.5),
    )),
    Script("bench_service.py", ("5",), "an empty Flask endpoint", (
        Figure("outlines over its throughput", r"^POST /v1/outlines.*ratio ([\d.]+)", 0.45, True),
        Figure("memory of two processes", r"^memory.*ratio ([\d.]+)"),
    )),
    Script("bench_jobs.py", (), "the bare computation", (
        Figure("processor time of a job", r"^cost of a job.*: ([\d.]+)", 1.5),
        Figure("detour through the queue, s", r"^detour.*: ([\d.]+) s", 0.3),
    )),
    Script("bench_batches.py", ("60",), "the bare computation; one worker", (
        Figure("processor time of a batch's kit", r"^processor time of a batch.*: ([\d.]+)", 1.5),
        Figure("kits per second of a batch", r"^kits per second.*: ([\d.]+)", 45, True),
        Figure("two workers over one", r"^two workers over one: ([\d.]+)", 1.8, True),
    )),
    Script("bench_offset.py", (), "shapely (GEOS) on the same points", (
        Figure("patches of lines, median", r"^lines alone:.*?median ([\d.]+)", 2.0),
        Figure("patches of lines, worst", r"^lines alone:.*?most ([\d.]+)", 5.0),
        Figure("patches with arcs, median", r"^with arcs:.*?median ([\d.]+)", 1.0),
        Figure("10,000 edges over 1,000", r"^10,000 edges cost ([\d.]+)", 15.0),
    )),
    Script("bench_curves.py", ("40",), "the fewest, by dynamic programming", (
        Figure("lines and arcs of curves", r"fewest \d+: ([\d.]+)", 1.15),
    )),
    Script("bench_toolpath.py", ("10", "12"), "a routing solver given 10 s a load", (
        Figure("travel, effort normal, average", r"^normal: average ([\d.]+)", 1.03),
        Figure("travel, effort normal, worst", r"^normal:.*worst ([\d.]+)", 1.08),
        Figure("travel, effort best, average", r"^best: average ([\d.]+)", 1.0),
    )),
    Script("bench_adapters.py", (), "the bare library, the same reader", tuple(_adapters())),
    Script("bench_blocks.py", (), "shapely's noding and polygonize", (
        Figure("block of a Voronoi drawing", r"^mosaic.*block [\d.]+ s \(([\d.]+) times", 10.0),
        Figure("block of half squares", r"^half squares.*block [\d.]+ s \(([\d.]+) times", 10.0),
    )),
    Script("bench_layout.py", ("--growth",), "itself with fewer pieces", (
        Figure("10,000 pieces of 3 kinds, s", r"^\s*\d{5} pieces of 3 kinds.*?([\d.]+) s", 1.0),
    )),
    Script("bench_page.py", ("--times", "6"), "goals of the page", (
        Figure("first load, kB", r"^first load: ([\d.]+) kB", 150),
        Figure("first answer, same layouts, ms", rf"^demo kit, another title: {_FIRST}", 300),
        Figure("first answer, new layouts, ms", rf"^demo kit, another quantity: {_FIRST}", 300),
        Figure("kit's answer, new layouts, ms", rf"^demo kit, another quantity: {_KITS}", 300),
        Figure("longest task while typing, ms", r"of the page's thread: longest (\d+)", 50),
    )),
)  # fmt: skip


def machine() -> str:
    """Return what the figures were measured on."""
    model = "unknown processor"
    for line in Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines():
        if line.startswith("model name"):
            model = line.partition(":")[2].strip()
            break
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    return (
        f"{model}, {os.cpu_count()} cores, {memory:.0f} GiB, {platform.system()} "
        f"{platform.machine()}, Python {platform.python_version()}"
    )


def measured(script: Script) -> str:
    """Run one script; returns what it printed, with its errors where it failed."""
    ran = subprocess.run(
        [sys.executable, str(HERE / script.file), *script.arguments],
        capture_output=True, text=True, check=False, timeout=LONGEST_S,
        env={**os.environ, "PYTHONPATH": str(HERE.parents[1])},
    )  # fmt: skip
    if ran.returncode:
        sys.stderr.write(f"{script.file} ended with {ran.returncode}\n{ran.stderr[-2000:]}\n")
    return ran.stdout


def read_table(text: str) -> dict[str, float]:
    """Return the figures of a printed table by their names."""
    rows = (line.split("|") for line in text.splitlines() if line.startswith("| "))
    return {
        cells[1].strip(): float(cells[3])
        for cells in rows
        if re.fullmatch(r" *\d+(\.\d+)? *", cells[3])
    }


def print_rows(script: Script, output: str, before: Mapping[str, float]) -> tuple[bool, list[str]]:
    """Print a script's rows; returns whether all were found, and those that got worse."""
    complete, slower = True, []
    for figure in script.figures:
        found = re.search(figure.pattern, output, re.MULTILINE)
        verdict = ""
        if found is None:
            complete, value = False, "not measured"
        else:
            number = float(value := found.group(1))
            if figure.goal is not None:
                verdict = "yes" if figure.reached(number) else "no"
            was = before.get(figure.name)
            if was is not None and figure.worse(number, was):
                slower.append(f"{figure.name}: {number:g}, was {was:g}")
        beside = f"{script.beside} (`{script.file}`)"
        print(f"| {figure.name} | {beside} | {value} | {figure.wanted()} | {verdict} |", flush=True)
    return complete, slower


def main() -> int:
    """Print the table; the exit code is said above."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--only", default="", help="scripts whose name holds this")
    parser.add_argument("--against", type=Path, help="a table printed before")
    stated = parser.parse_args()
    before = read_table(stated.against.read_text(encoding="utf-8")) if stated.against else {}
    began = time.monotonic()
    print(f"# Ratios and their goals\n\n{machine()}; by `python tests/benchmarks/table.py`.\n")
    print("| figure | beside | measured | goal | reached |\n| --- | --- | --- | --- | --- |")
    complete, slower = True, []
    for script in SCRIPTS:
        if stated.only in script.file:
            found, worse = print_rows(script, measured(script), before)
            complete = complete and found
            slower += worse
    minutes = (time.monotonic() - began) / 60
    print(f"\nMeasured in {minutes:.0f} minutes; load of the machine {os.getloadavg()[0]:.1f}.")
    if slower:
        sys.stderr.write("Worse by more than 10 %:\n" + "".join(f"- {row}\n" for row in slower))
    return 1 if not complete else 2 if slower else 0


if __name__ == "__main__":
    sys.exit(main())

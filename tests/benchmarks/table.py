"""Every benchmark, each in a process of its own, as one table with the machine's description.

    python tests/benchmarks/table.py [--quick] [--only WORD]

The full run takes about an hour and a half, most of it the general nester's; ``--quick`` a few
minutes, with less of each. Run it alone on the machine. Failing scripts are reported, and the exit
code is then 1.
"""

from __future__ import annotations

import argparse
import os
import platform
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
LONGEST_S = 3 * 3600


@dataclass(frozen=True)
class Row:
    """One line of the table: what is measured beside what, how, and what was asked of it.

    ``figures`` finds the lines of the output that are the figures.
    """

    what: str
    beside: str
    script: str
    full: tuple[str, ...]
    quick: tuple[str, ...] | None
    figures: str
    asked: str


ROWS = (
    Row(
        "patch of an outline", "shapely (GEOS) and Clipper2 on the same points",
        "bench_offset.py", (), (), r"^(lines alone|with arcs|10,000 edges).*", "",
    ),
    Row(
        "curves as lines and arcs", "the fewest, by dynamic programming",
        "bench_curves.py", ("200",), ("40",), r"^(\d+ curves|each|time).*", "at most 1.15",
    ),
    Row(
        "pieces on a load, loads of a kit", "a general nester alone with 20 s; straight rows",
        "bench_layout.py", ("--jobs", "2"),
        ("--budget", "0", "--efforts", "normal", "--only", "hexagon"),
        r"^- `.*",
        "normal: 99.5 %, at most one piece below, 1/20 of the time; best: never below; "
        "mixed kits: at most 2 % more loads",
    ),
    Row(
        "growth with pieces of a roll", "itself with fewer", "bench_layout.py", ("--growth",),
        ("--growth",), r"^\s*(\d+ pieces of 3 kinds.*|32000 .*|1000 .*)",
        "n log n; ten thousand pieces in 5 s and 500 MiB",
    ),
    Row(
        "travel between strokes", "a general routing solver on the same strokes, 10 s a load",
        "bench_toolpath.py", ("10", "20"), ("1", "6"), r"^\w+: average.*",
        "1.05 on average, 1.08 at worst",
    ),
    Row(
        "500 pieces written and read back", "the bare library writing, the same reader parsing",
        "bench_adapters.py", (), (), r"^(svg|dxf|hpgl|gcode|pdf|plan) .*", "2, and 1 s",
    ),
    Row(
        "POST /v1/outlines; memory", "an empty Flask endpoint on the same server",
        "bench_service.py", ("5",), ("1",), r"^(POST|memory).*", "0.2 of its throughput",
    ),
    Row(
        "40 hexagons, template and patch runs",
        "a bare script for the same; importing shapely and Flask", "bench_small_kit.py", (), (),
        r"^(warm|cold).*", "SVG alone warm 4 and 150 ms, cold cut 2.5",
    ),
    Row(
        "a small kit as a job", "the bare computation", "bench_jobs.py", (), (), r"^.*job.*",
        "at most 0.3 s more",
    ),
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


def measured(row: Row, *, quick: bool) -> tuple[list[str], bool]:
    """Run one script; returns its lines of figures, and whether it succeeded."""
    asked = row.quick if quick and row.quick is not None else row.full
    ran = subprocess.run(
        [sys.executable, str(HERE / row.script), *asked],
        capture_output=True, text=True, check=False, timeout=LONGEST_S,
    )  # fmt: skip
    found = [each.group(0).strip() for each in re.finditer(row.figures, ran.stdout, re.MULTILINE)]
    if ran.returncode or not found:
        sys.stderr.write(ran.stdout[-2000:] + ran.stderr[-2000:])
        return [*found, "FAILED"], False
    return found, True


def main() -> int:
    """Print the table; return 1 when a script failed."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--quick", action="store_true", help="less of each")
    parser.add_argument("--only", default="", help="scripts whose name holds this")
    stated = parser.parse_args()
    print(f"{machine()}.\n")
    print("| what | beside | measured | wanted |\n| --- | --- | --- | --- |", flush=True)
    failed = False
    for row in ROWS:
        if stated.only in row.script:
            figures, fine = measured(row, quick=stated.quick)
            failed = failed or not fine
            payload = "<br>".join(re.sub(r"\s+", " ", each).removeprefix("- ") for each in figures)
            print(
                f"| {row.what} (`{row.script}`) | {row.beside} | {payload} | {row.asked} |",
                flush=True,
            )
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())

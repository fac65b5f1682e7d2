"""Prints the names of some mutants of each module, chosen with a fixed seed: FOLDERS COUNT."""

from __future__ import annotations

import json
import random
import sys
from itertools import chain, zip_longest
from pathlib import Path


def main(folders: str, count: int) -> None:
    """Print the names, one of each module in turn, so that a run can end early."""
    draw = random.Random(20)  # noqa: S311 - a sample, not a secret
    rows = []
    found = (
        path
        for each in folders.split(",")
        for path in (Path("mutants", f"{each}.py.meta"), *Path("mutants", each).rglob("*.py.meta"))
        if path.is_file()
    )
    for path in sorted(found):
        names = sorted(json.loads(path.read_text())["exit_code_by_key"])
        rows.append(draw.sample(names, min(count, len(names))))
    print(*filter(None, chain.from_iterable(zip_longest(*rows))), sep="\n")  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))

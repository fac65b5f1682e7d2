"""Lines and arcs along free curves beside the fewest that dynamic programming finds.

    python tests/benchmarks/bench_curves.py [CURVES]

The optimum is over the same pieces (biarcs between places of the curve); what is compared is the
search. Prints counts and ratios; nothing is asserted.
"""

from __future__ import annotations

import importlib.util
import statistics
import sys
import time
from pathlib import Path

from geometry.shapes.curves import fitted

_SPEC = importlib.util.spec_from_file_location(
    "curves_test", Path(__file__).parent.parent / "property" / "test_curves.py"
)
assert _SPEC is not None
assert _SPEC.loader is not None
curves_test = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(curves_test)


def main(curves: int) -> None:
    ours, best, spent, searched = [], [], 0.0, 0.0
    for seed in range(curves):
        curve = curves_test.curve_of(seed)
        begin = time.process_time()
        ours.append(len(fitted(curve)))
        middle = time.process_time()
        best.append(curves_test.fewest(curve))
        spent += middle - begin
        searched += time.process_time() - middle
    ratios = sorted(a / b for a, b in zip(ours, best, strict=True))
    print(f"{curves} curves: {sum(ours)} pieces, fewest {sum(best)}: {sum(ours) / sum(best):.4f}")
    print(f"each: median {statistics.median(ratios):.4f}, most {ratios[-1]:.4f}")
    print(f"time: ours / optimum's = {spent / searched:.5f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)

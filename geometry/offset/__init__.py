"""Moving an outline's edges out by the seam allowance, exactly.

Three steps, one module each: ``raw`` moves every edge and treats every corner, ``slices`` cuts
the result where it crosses itself and tells which stretches bound it, ``stitch`` joins those.
"""

# ruff: noqa: E501 - one row per type
"""Problems of what a request asks for: 422 Unprocessable Content."""

from __future__ import annotations

ROWS = (
    # slug, status, title, text
    (
        "drawing-refused",
        422,
        "The drawing cannot be used",
        (
            "A file sent for inspection cannot be read, is too large, contains unsupported "
            "elements, or states no unit. `detail` says which, and how to correct it."
        ),
    ),
    (
        "format-settings",
        422,
        "A format's setting is missing or wrong",
        (
            "A cutter's `formats` has a setting that the format does not support, or lacks a setting "
            "without a default, such as a laser's power, a knife's depth or the feed."
        ),
    ),
    (
        "format-cannot-hold",
        422,
        "A format cannot hold the plan",
        ("The plan is larger than the format's numbers or pages allow. `detail` states the limit."),
    ),
    (
        "material-not-for-laser",
        422,
        "A laser must not cut this material",
        (
            "A laser cuts neither `vinyl` nor `other` (nor a material whose kind is left out), as "
            "fumes of PVC and of unknown materials harm lungs and machine. State the material's "
            "kind, or cut it with a blade. Only where its safety data sheet allows a laser, state "
            '`"laser_safe": true` in the material.'
        ),
    ),
    (
        "schema-mismatch",
        422,
        "The request does not fit its schema",
        (
            "A member is missing, unknown, of the wrong type or out of bounds. `errors` lists each "
            "with a JSON pointer into the body, or the name of the query parameter."
        ),
    ),
    (
        "invalid-request",
        422,
        "Some values cannot be used",
        (
            "The request fits its schema, but some values are unusable, such as a length without "
            "units, two sizes at once, or a margin wider than the bed. `errors` lists them all."
        ),
    ),
    (
        "allowance-too-large",
        422,
        "The seam allowance is too large for this outline",
        (
            "A hollow curve or a narrow inlet cannot be moved out that far. `largest_mm` states the "
            "largest allowance that works, where there is one; `cure` of an error sets it."
        ),
    ),
    (
        "does-not-fit",
        422,
        "A piece is larger than the work area",
        (
            "`errors` lists every piece that does not fit, with the largest size that would. Of "
            "the first, `needed` and `available` state both boxes, `short_by_mm` by how much it is "
            "short, `largest` the largest scale that fits. `cure` of an error sets the sizes that fit "
            "every run; of a drawn outline `largest_percent` is the share of its size."
        ),
    ),
    (
        "not-enough-stock",
        422,
        "The stock does not hold all pieces",
        (
            "Nothing was made. `shortfall` lists, run by run, the pieces that are missing and what to "
            "buy for them. POST /v1/layouts of the same request shows what the stock does hold."
        ),
    ),
    (
        "too-many-pieces",
        422,
        "Too many pieces on one load",
        "`detail` states the limit; use a smaller sheet or larger pieces.",
    ),
    (
        "batch-too-large",
        422,
        "The batch is too large",
        (
            "`count` states its number of kits and `most` the limit, or `most_effort_s` states the "
            "limit in seconds of search. Divide the batch, or request less effort."
        ),
    ),
    (
        "needs-too-much-memory",
        422,
        "Out of memory",
        "The computation was stopped at the limit in `detail`; request less at once.",
    ),
)

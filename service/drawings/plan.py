"""Cut plans, the neutral format of this project, as drawings."""

from __future__ import annotations

import json

from geometry.model.outline import Vertex
from service.drawings.drawing import (
    MAX_ELEMENTS,
    UNITS_MM,
    Drawing,
    DrawingError,
    Path,
    joined,
    other_units,
)


def read_plan(data: bytes, *, units: str | None) -> Drawing:
    """Return a cut plan's strokes.

    Args:
        data: the file.
        units: units stated beside it, for a plan that states none.

    Raises:
        DrawingError: when it is not a cut plan.
    """
    try:
        document = json.loads(data)
        scale = UNITS_MM[document.get("units", units)]
        paths = [
            Path(
                tuple(Vertex(x * scale, y * scale, b) for x, y, b in row["points"]),
                str(row["operation"]),
                str(row.get("piece", "")),
                closed=bool(row["closed"]),
            )
            for row in document["strokes"][: MAX_ELEMENTS + 1]
        ]
    except (
        ValueError,
        KeyError,
        TypeError,
        AttributeError,
        RecursionError,
        OverflowError,
    ) as error:
        raise DrawingError(f"This is not a cut plan: {str(error)[:120]}") from None
    if len(paths) > MAX_ELEMENTS:
        raise DrawingError(f"A drawing has at most {MAX_ELEMENTS} strokes.")
    notes = tuple(other_units(units, scale))
    return Drawing("plan", joined(path for path in paths if len(path.vertices) > 1), notes)

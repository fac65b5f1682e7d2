"""Writes the drawings of tests/fixtures/drawings with cairo (cairocffi 1.7, cairo 1.16).

They are kept, so that tests need no cairo. Run it with ``python -m tests.foreign.make_cairo``.
"""

from __future__ import annotations

import math
from pathlib import Path

from tests.foreign.parts import HEIGHT, SETS, WIDTH, Circle

FOLDER = Path(__file__).resolve().parents[1] / "fixtures" / "drawings"
#: A cairo unit is a point.
MM = 72.0 / 25.4


def main() -> None:
    """Write every set: as numbers, by a matrix of mm with y up, and turned about the corner."""
    import cairocffi

    for name, parts in SETS.items():
        for manner in ("points", "matrix", "turned"):
            file = FOLDER / f"cairo-{name}-{manner}.svg"
            surface = cairocffi.SVGSurface(str(file), WIDTH * MM, HEIGHT * MM)
            context = cairocffi.Context(surface)
            if manner != "points":
                context.transform(cairocffi.Matrix(MM, 0, 0, -MM, 0, HEIGHT * MM))
            if manner == "turned":
                context.rotate(math.radians(30))
                context.scale(0.5, 0.5)
            scale = MM if manner == "points" else 1.0
            for part in parts:
                if isinstance(part, Circle):
                    y = HEIGHT - part.y if manner == "points" else part.y
                    context.new_sub_path()
                    context.arc(part.x * scale, y * scale, part.radius * scale, 0, math.tau)
                    context.close_path()
                else:
                    for x, y in part.corners:
                        context.line_to(
                            x * scale, ((HEIGHT - y) if manner == "points" else y) * scale
                        )
                    context.close_path()
                context.set_line_width(0.2 * scale)
                context.stroke()
            surface.finish()


if __name__ == "__main__":
    main()

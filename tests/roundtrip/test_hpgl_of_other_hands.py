"""HP-GL files of other hands, read by us and by hp2xx, a program that shares no code with us."""

from __future__ import annotations

import io
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from ezdxf import filemanagement as ezdxf

from geometry.measure import flattened
from geometry.model.outline import Chain, Outline
from service.drawings.hpgl import read_hpgl
from tests.roundtrip import hpgl_drawings
from tests.roundtrip.outside import needs

#: Agreed distance, mm; chords of hp2xx's arcs, 5 degrees at most 25 mm, are within 0.024 mm.
WITHIN = 0.05
#: hp2xx reads these otherwise than the reference guide says, or not at all.
DRAWINGS = hpgl_drawings.drawings()
OTHERWISE = {name: "fractions of encoded lines" for name in DRAWINGS if b"PE>" in DRAWINGS[name]}
OTHERWISE |= {name: "its arcs miss their points" for name in DRAWINGS if "through a point" in name}
OTHERWISE |= {"hand wedge clockwise": "no arc at all"}
OTHERWISE |= dict.fromkeys(("same labels", "same another label end"), "letters, which we leave out")


def ours(data: bytes) -> shapely.MultiLineString:
    lines = []
    for path in read_hpgl(data, units=None, tolerance=0.005).paths:
        shape = Outline(path.vertices) if path.closed else Chain(path.vertices)
        points = flattened(shape, 0.002)
        lines.append([*points, points[0]] if path.closed else points)
    return shapely.MultiLineString(lines)


def by_hp2xx(data: bytes, folder: Path) -> shapely.MultiLineString:
    source, target = folder / "a.plt", folder / "a.dxf"
    source.write_bytes(data)
    command = [needs("hp2xx"), "-q", "-t", "-m", "dxf", "-x", "-4000", "-y", "-4000",
               "-X", "8400", "-Y", "8400", "-f", str(target), str(source)]  # fmt: skip
    subprocess.run(command, check=True, timeout=600, stdin=subprocess.DEVNULL, capture_output=True)
    document = ezdxf.read(io.StringIO(target.read_text("latin-1")))
    # Its origin is the window's corner, 4000 units to the left and below.
    return shapely.transform(
        shapely.MultiLineString(_lines(document)), lambda points: points - 100.0
    )


def _lines(document: Any) -> list[list[tuple[float, float]]]:
    return [
        [(each.dxf.start.x, each.dxf.start.y), (each.dxf.end.x, each.dxf.end.y)]
        for each in document.modelspace()
        if each.dxf.start.distance(each.dxf.end) > 1e-6
    ]


def apart(one: shapely.MultiLineString, other: shapely.MultiLineString) -> float:
    """Return the largest distance of a point along one drawing from the other, both ways."""
    found = 0.0
    for a, b in ((one, other), (other, one)):
        dense = shapely.segmentize(a, 1.0)
        points = shapely.points(shapely.get_coordinates(dense))
        found = max(found, float(np.max(shapely.distance(points, b))))
    return found


@pytest.mark.hp2xx
@pytest.mark.parametrize("name", [name for name in DRAWINGS if name not in OTHERWISE])
def test_hp2xx_draws_the_same(name: str, tmp_path: Path) -> None:
    off = apart(ours(DRAWINGS[name]), by_hp2xx(DRAWINGS[name], tmp_path))
    assert off <= WITHIN


def test_there_are_sixty_at_least() -> None:
    assert len(set(DRAWINGS) - set(OTHERWISE)) >= 60

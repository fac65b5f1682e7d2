"""Three layers in an oval hoop, cut by a blade set to four angles, a file for each angle."""

from __future__ import annotations

import math

import numpy as np
import shapely

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Oval hoop on the slip",
    "units": "in",
    "pieces": [
        {
            "id": "H",
            "shape": {"kind": "hexagon", "side": "1"},
            "quantity": 60,
            "seam_allowance": "3/8",
            "grain": "half-turn",
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "layers": 3,
            "formats": ["dxf", "svg", "hpgl"],
            "one_file_per": "station",
            "cutter": {
                "tool": {
                    "kind": "indexed_blade",
                    "positions_deg": [0, 45, 90, 135],
                    "blade_width": "0.8 mm",
                    "step": "0.3 mm",
                },
                "bed": {"shape": "ellipse", "width": "200 mm", "height": "140 mm"},
                "margins": {"left": "5 mm", "right": "5 mm", "top": "5 mm", "bottom": "5 mm"},
                "speed": 8,
                "stop_s": 45,
            },
            "material": {"name": "quilting cotton", "kind": "fabric"},
            "ties": {"count": 1, "width": "0.5 mm"},
        }
    ],
}


def test_oval_hoop(studio: Studio) -> None:
    """60 patches in 3 layers are 20 outlines. A head that reaches 5 mm each way is a disc.

    So the needle stays 5 mm from the oval's rim everywhere. The patch is 2.482051 in
    across flats (63.04 mm) and 2.866025 in across corners (72.80 mm), drawn with a flat below.
    Three fit, gap 2: columns 1.5 x 36.40 + 2 / cos 30 = 56.91 mm apart, the outer two centred at
    (-56.91, -0.3) and (56.91, -0.3): their tips are at x = 93.31, the rim less 5 mm at
    94.99 there; the middle one half a pitch, 32.52, higher: its flat's corners at
    (18.20, 63.74), and the oval less 5 mm passes x = 18.2 at y = 63.80.
    Area of that field: less than pi x 95 x 65 = 19,399 mm2; a patch has 5.3352 in2 = 3442 mm2:
    at most 5. So 20 / 5 = 4 loads at least, 20 / 3 = 7 by ruler.
    Edges at 0, 60 and 120 degrees: set 0, 45 and 135 (off by 0, 15, 15), three stations.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    requested, made, spare = run.total("H")
    assert (requested, made - spare) == (60, 60)
    # Equal loads may fill the last hoop.
    assert 20 <= run.outlines["H"] <= 21
    assert 4 <= run.load_count <= 7
    # Half a thousandth of a millimetre of chord on each of the oval's 4000.
    turns = np.linspace(0.0, math.tau, 4001)
    rim = shapely.LinearRing(np.c_[100.0 + 100.0 * np.cos(turns), 70.0 + 70.0 * np.sin(turns)])
    for load in run.loads:
        assert len(load.files) == 9
        for file in load.files:
            read = {"dxf": foreign.dxf, "svg": foreign.svg, "hpgl": foreign.hpgl}[file.format]
            drawn = foreign.drawn(read(file.data))
            assert shapely.Polygon(rim).contains(drawn)
            # HP-GL's grid is 0.025 mm.
            grid = 0.02 if file.format == "hpgl" else 0.0
            assert drawn.distance(rim) >= 5.0 - 0.01 - grid, (file.name, drawn.distance(rim))
    rough = [e["mismatch_deg"] for e in run.loads[0].payload["edges"]]
    assert sorted({round(each, 6) for each in rough}) == [0.0, 15.0]
    assert kit.sheet.says("quilting cotton", "3 layers", 60, "45", "135")
    assert kit.sheet.counts("H", 60, made, spare)


def test_oval_hoop_names_its_files(studio: Studio) -> None:
    """Run 1, patches from quilting cotton, load 1, a file for each of three blade angles."""
    kit = studio.kit(REQUEST)
    wanted = {
        f"1-patch-quilting-cotton-1-station-{station}.{ending}"
        for station in (1, 2, 3)
        for ending in ("dxf", "svg", "plt")
    }
    assert set(kit.run().loads[0].file_names) == wanted
    assert kit.sheet.says("1-patch-quilting-cotton-1-station-1.dxf")

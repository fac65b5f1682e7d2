"""A kit whose cloth can be cut with a ruler: its run sheet says and draws how, for each fabric.

Each drawing is one strip with the pieces in it.
"""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET

import pypdf
import pytest

from tests.jobs.studio import Json, Kit, Studio

SVG = "{http://www.w3.org/2000/svg}"
ROLL: Json = {"tool": {"kind": "pen"}, "bed": {"shape": "roll", "width": "24"}}
REQUEST: Json = {
    "title": "Ebb and flood",
    "units": "in",
    "pieces": [
        {
            "id": "T",
            "shape": {"kind": "triangle", "height": "1 3/4"},
            "seam_allowance": "1/4",
            "quantity": 104,
        },
        {
            "id": "S",
            "shape": {"kind": "square", "side": "3"},
            "seam_allowance": "1/4",
            "quantity": 20,
        },
    ],
    "runs": [
        {
            "cut": "patch",
            "pieces": [{"id": piece}],
            "cutter": ROLL,
            "material": {"name": cloth, "kind": "fabric"},
            "formats": ["svg"],
            "effort": "quick",
        }
        for piece, cloth in (("T", "tide"), ("S", "sand"))
    ],
}


@pytest.fixture(scope="module")
def kit(studio: Studio) -> Kit:
    """Return the kit."""
    return studio.kit(REQUEST)


def test_strips_of_each_fabric_are_drawn(kit: Kit) -> None:
    """Triangles 1 3/4 in high, cut 1 3/4 + 3 x 1/4 = 2 1/2 in high, side 2 1/2 / 0.866025 = 2.8868.

    Turned alternately n take (n + 1) x 1.4434 in: 15 take 23.09 of 24 in, 16 24.54. 104 / 15 = 6.9:
    7 strips of 2 1/2 in. Squares are cut 3 1/2 in: 24 / 3 1/2 = 6.86, 6 to a strip; 20 / 6 = 3.3: 4
    strips.
    """
    assert kit.sheet.together("Cut 7 strips 2 1/2 in x width of fabric", "104 triangles", "15 to")
    assert kit.sheet.together("Cut 4 strips 3 1/2 in x width of fabric", "20 squares", "6 to")
    page = kit.client.get(kit.payload["run_sheet_page"]).get_data(as_text=True)
    drawings, rest = [], page
    while "<svg" in rest:
        start, end = rest.index("<svg"), rest.index("</svg>") + len("</svg>")
        root = ET.fromstring(rest[start:end])  # noqa: S314 - our own text
        if root.find(f".//{SVG}g[@class='strip']") is not None:
            drawings.append(len(root.findall(f".//{SVG}path[@class='piece']")))
        rest = rest[end:]
    assert drawings == [15, 6]
    # Each stands with its own run.
    runs = [page.index(f"<h2>Run {number}: ") for number in (1, 2)]
    strips = [place for place in range(len(page)) if page.startswith('<g class="strip"', place)]
    assert runs[0] < strips[0] < runs[1] < strips[1]


def _filled(data: bytes) -> int:
    """Return how many closed and filled paths the pages of a PDF have."""
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    drawn = [page.get_contents() for page in pages]
    content = "\n".join(each.get_data().decode("latin-1") for each in drawn if each is not None)
    return sum(line.split()[-1:] in (["B*"], ["f*"], ["b*"]) for line in content.splitlines())


def test_the_printed_sheet_draws_them_too(studio: Studio, kit: Kit) -> None:
    """Cut in two layers nobody cuts by ruler: such a sheet has 2 cloths and 21 pieces fewer."""
    runs = [{**run, "layers": 2} for run in REQUEST["runs"]]
    # Half as many outlines are drawn, so twice the pieces: the loads' drawings are the same.
    pieces = [{**piece, "quantity": 2 * piece["quantity"]} for piece in REQUEST["pieces"]]
    stacked = studio.kit({**REQUEST, "pieces": pieces, "runs": runs})
    sheets = [studio.client.get(each.payload["run_sheet"]).data for each in (kit, stacked)]
    assert _filled(sheets[0]) - _filled(sheets[1]) == 2 + 15 + 6

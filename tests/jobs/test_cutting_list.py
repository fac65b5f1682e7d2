"""A studio keeps its cutting in a spreadsheet: the cutting list of two runs."""

from __future__ import annotations

import csv
import html
import io

from tests.jobs.studio import Json, Kit, Studio

REQUEST: Json = {
    "title": "Gangway squares",
    "units": "in",
    "reference": "=ORDER(9)",
    "pieces": [
        {
            "id": "S",
            "shape": {"kind": "square", "side": "3"},
            "quantity": 30,
            "seam_allowance": "1/4",
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": {
                "tool": {"kind": "laser", "kerf": "0.2 mm"},
                "bed": {"width": "15 in", "height": "11.5 in"},
            },
            "material": {"name": "red, washed", "kind": "fabric"},
            "layers": 4,
            "gap": "0.1 in",
            "formats": ["svg", "pdf"],
            "effort": "quick",
        },
        {
            "cut": "template",
            "cutter": "pen-sheet",
            "material": {"name": "card", "kind": "card", "width": "7", "height": "7"},
            "pieces": [{"id": "S", "quantity": 5}],
            "formats": ["plan"],
            "effort": "quick",
        },
    ],
}


def _sheet(studio: Studio, kit: Kit) -> str:
    """Return the run sheet's words."""
    page = studio.client.get(kit.payload["run_sheet_page"]).get_data(as_text=True)
    return html.unescape(page)


def test_the_cutting_list_adds_up(studio: Studio) -> None:
    """30 patches of 3 1/2 in, 4 layers: 8 outlines give 32 pieces.

    On 15 by 11 1/2 in: across, 4 patches and 3 gaps are 14.3 in; up, 3 and 2 are 10.7 in: 12
    per load, so the 8 lie on one load. Of 5 templates of 3 in, 7 by 7 in of card hold 2 by 2
    (6 in and a gap): 4 on one sheet and 1 on another, 5 in all.

    The reference begins like a formula: an apostrophe makes it text. Rows end as RFC 4180 says,
    and the comma of the material's name is quoted.
    """
    kit = studio.kit(REQUEST)
    data = studio.client.get(kit.payload["cutting_list"]).data
    assert data.startswith(b"\xef\xbb\xbf")
    assert data.count(b"\r\n") == data.count(b"\n")
    rows = list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))
    patch, *templates = rows
    assert (patch["run"], patch["cut"], patch["material"]) == ("1", "patch", "red, washed")
    assert (patch["load"], patch["times"]) == ("1", "1")
    assert (patch["outlines per load"], patch["pieces per load"]) == ("8", "32")
    assert patch["pieces in all"] == "32"
    assert patch["files"].split() == ["1-patch-red-washed-1.svg", "1-patch-red-washed-1.pdf"]
    assert patch["kit"] == kit.payload["number"]
    assert patch["reference"] == "'=ORDER(9)"
    assert sum(int(row["pieces in all"]) for row in templates) == 5
    assert {row["material"] for row in templates} == {"card"}
    # One figure everywhere: what the list adds up to, the answer and the sheet state.
    minutes = sum(float(row["minutes in all"] or 0) for row in rows)
    assert kit.payload["totals"]["estimated"] == f"{minutes:g} min"
    assert f"about {minutes:g} min, without preparing" in _sheet(studio, kit)
    # Each of 4 layers takes the whole bed of 15 by 11 1/2 in: two lie side by side on 40 in, in
    # two rows of 11 1/2 in, 23 in = 0.639 yd: 3/4 yd. What to buy stands once, as on the sheet.
    assert (patch["cloth to buy"], patch["width of the cloth"]) == ("3/4 yd", "40 in")
    assert {row["cloth to buy"] for row in templates} == {""}
    assert "To buy: 3/4 yd of cloth 40 in wide." in _sheet(studio, kit)
    # RFC 7111: without a charset it is UTF-8.
    assert studio.client.get(kit.payload["cutting_list"]).content_type == "text/csv"


def test_a_kit_without_the_list_has_no_link_to_it(studio: Studio) -> None:
    kit = studio.kit({**REQUEST, "documents": ["cutting_list"]})
    assert "cutting_list" in kit.payload
    assert "run_sheet" not in kit.payload
    assert "cutting_list" not in studio.kit({**REQUEST, "documents": ["labels"]}).payload


def test_a_mirror_image_has_a_row_though_it_has_no_outline(studio: Studio) -> None:
    """10 sails and 10 of the other hand, two layers face to face: 10 outlines give 10 of each."""
    sail = {"kind": "right_triangle", "width": 40, "height": 60}
    kit = studio.kit(
        {
            "title": "Sails",
            "units": "mm",
            "pieces": [
                {"id": "R", "shape": sail, "quantity": 10, "seam_allowance": 6},
                {"id": "L", "shape": {**sail, "hand": "left"}, "quantity": 10, "seam_allowance": 6},
            ],
            "runs": [
                {
                    "cut": "patch",
                    "cutter": "laser-bed",
                    "material": {"name": "navy", "kind": "fabric"},
                    "layers": 2,
                    "stack": "face_to_face",
                    "formats": ["svg"],
                    "effort": "quick",
                }
            ],
        }
    )
    data = studio.client.get(kit.payload["cutting_list"]).data
    rows = {
        row["piece"]: (row["outlines per load"], row["pieces per load"], row["pieces in all"])
        for row in csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline=""))
    }
    assert rows in (
        {"R": ("10", "10", "10"), "L": ("0", "10", "10")},
        {"R": ("0", "10", "10"), "L": ("10", "10", "10")},
    )


def test_a_heap_is_named_by_all_of_its_pieces(studio: Studio) -> None:
    """Three and two squares of 3 in that are cut as one heap: 5 templates, of A and B.

    Cards of 7 by 7 in hold 2 by 2: 4 on one and 1 on another. Patches are no heap.
    """
    square = REQUEST["pieces"][0]
    template = {**REQUEST["runs"][1], "merge_identical": True}
    del template["pieces"]
    kit = studio.kit(
        {
            **REQUEST,
            "pieces": [{**square, "id": "A", "quantity": 3}, {**square, "id": "B", "quantity": 2}],
            "runs": [template, REQUEST["runs"][0]],
        }
    )
    data = studio.client.get(kit.payload["cutting_list"]).data.decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(data, newline="")))
    heap = [row for row in rows if row["cut"] == "template"]
    assert {row["piece"] for row in heap} == {"A, B"}
    assert sum(int(row["pieces in all"]) for row in heap) == 5
    assert {row["piece"] for row in rows if row["cut"] == "patch"} == {"A", "B"}

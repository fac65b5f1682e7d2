"""The paper that a plan counts for templates, against sheets laid out by hand and a kit's loads."""

from __future__ import annotations

from typing import Any

from tests.jobs.studio import Studio

INCH = 25.4

#: A block of 20 cm cut along both diagonals.
PENNANTS: dict[str, Any] = {
    "size": 20,
    "pieces": [
        {"points": [[0, 0], [20, 0], [10, 10]], "colour": "tide"},
        {"points": [[20, 0], [20, 20], [10, 10]], "colour": "sand"},
        {"points": [[20, 20], [0, 20], [10, 10]], "colour": "tide"},
        {"points": [[0, 20], [0, 0], [10, 10]], "colour": "sand"},
    ],
}


def sheet_run(width: str, height: str) -> dict[str, Any]:
    """Return a run that draws templates on a plan's sheet, with its margin and gap."""
    sides = ("left", "right", "top", "bottom")
    return {
        "cut": "template",
        "gap": "1 mm",
        "cutter": {
            "tool": {"kind": "pen"},
            "bed": {"width": width, "height": height},
            "margins": dict.fromkeys(sides, "6.35 mm"),
        },
        "material": {"name": "card", "kind": "card"},
        "formats": ["svg"],
    }


def test_pennants_on_a4(studio: Studio) -> None:
    """A4 less 6.35 mm all round is 197.3 by 284.3 mm; gaps are 1 mm.

    A triangle with a long side of 200 mm has legs of 141.42 mm. Two make a square: moved apart by
    1 mm across their long sides, 1.41 mm along one leg, they take 142.84 by 141.42 mm. Two such
    squares, one on the other: 2 x 141.42 + 1 = 283.84, at most 284.3 mm. So a sheet holds 4.

    2 x 3 blocks have 6 x 4 = 24 triangles: 24 / 4 = 6 sheets at most, for one shape of two colours.
    The same pieces in a kit on this sheet take as many loads as the plan counts sheets.
    """
    plan = studio.calculated(
        "/v1/quilt-plans",
        {
            "title": "Pennants for the pilot boat",
            "units": "cm",
            "block": PENNANTS,
            "quilt": {"width": 40, "length": 60},
            "seam_allowance": 0.75,
            "paper": {"sheet": "a4"},
        },
    )
    paper = plan["materials"]["paper"]
    (row,) = paper["rows"]
    assert row["templates"] == 24
    assert row["per_sheet"] >= 4
    assert row["sheets"] == paper["sheets"] <= 6
    assert row["effort"] == "normal"
    kit = studio.kit(
        {
            "units": "cm",
            "pieces": plan["kit"]["pieces"],
            "runs": [sheet_run("210 mm", "297 mm") | {"grain": "free"}],
        }
    )
    assert kit.run().load_count == paper["sheets"]
    # The plan's own kit is cut from the sheet that the plan counts.
    own = studio.kit({**plan["kit"], "runs": plan["kit"]["runs"][:1]}).run()
    assert (own.payload["sheet"]["width_mm"], own.payload["sheet"]["height_mm"]) == (210, 297)
    assert own.load_count <= paper["sheets"]


def test_a_full_sheet_of_half_hexagons(studio: Studio) -> None:
    """Half a hexagon of 4 in, cut through two corners, is 8 in long and 4 sin 60 = 3.464 in high.

    A letter sheet less 1/4 in all round is 8 by 10 1/2 in: three lie above each other, 3 x 3.464 +
    2 x 0.039 = 10.47 in. Four templates take 2 sheets, but a full one holds 3, not 2.
    """
    plan = studio.calculated(
        "/v1/quilt-plans",
        {
            "title": "Buoys",
            "units": "in",
            "tiling": "hexagon",
            "side": "4",
            "direction": "on_side",
            "edge": "filled",
            "quilt": {"width": "24", "length": "28"},
            "paper": {"sheet": "letter"},
        },
    )
    rows = {row["shape"]: row for row in plan["materials"]["paper"]["rows"]}
    assert rows["half_hexagon"]["per_sheet"] == 3
    assert rows["half_hexagon"]["sheets"] == -(-rows["half_hexagon"]["templates"] // 3)


def test_curved_templates_lie_in_each_other(studio: Studio) -> None:
    """Clamshells of 4 in: a letter sheet less 1/4 in all round, 8 by 10 1/2 in, holds 2 x 2 boxes.

    A clamshell has the area of half its box, 4 x 4 / 2 = 8 in2 (its two concave arcs cut away what
    its round top adds), so 84 / 8 = 10 is a bound. Interlocked as in the quilt, rows of 2 advance
    by 2 in and every other row is shifted by half a piece: 4 in for the first row, then 2 in (and
    less than 0.1 in for the gap) each: 1 + (10.5 - 4) / 2.1 = 4 rows, 2 + 1 + 2 + 1 = 6 pieces.
    """
    plan = studio.calculated(
        "/v1/quilt-plans",
        {
            "title": "Scallops",
            "units": "in",
            "tiling": "clamshell",
            "width": "4",
            "quilt": {"width": "12", "length": "12"},
            "paper": {"sheet": "letter"},
        },
    )
    rows = plan["materials"]["paper"]["rows"]
    whole = next(row for row in rows if row["shape"] == "clamshell")
    assert 6 <= whole["per_sheet"] <= 10

"""As many squares as a rack of sheets and leftovers holds, one of them an angle."""

from __future__ import annotations

from tests.jobs.studio import Studio


def test_as_many_as_the_rack_holds(studio: Studio) -> None:
    """Squares of 80 mm, 2 mm apart, 1 mm from every edge.

    A sheet of 300 x 200 keeps 298 x 198: three across (3 x 82 - 2 = 244) and two up (162), six.
    Of 170 x 170 remain 168: two by two, four. The angle's arms are 90 wide, 88 of them usable, and
    260 long: three along its foot (244 of 258), two more up its side: five. Two sheets, the
    offcut and the angle hold 6 + 6 + 4 + 5 = 21 on four loads, and every entry is used up.
    No layout takes fewer than three: by area a sheet of 298 x 198, gaps counted, holds at most
    floor(300 x 200 / 82^2) = 8, twice, and 21 - 16 = 5 are left.
    """
    kit = studio.kit(
        {
            "title": "As many as the rack holds",
            "units": "mm",
            "pieces": [
                {"id": "Q", "shape": {"kind": "square", "side": 80}, "quantity": "max"},
            ],
            "runs": [
                {
                    "cut": "template",
                    "cutter": "laser-bed",
                    "gap": 2,
                    "material": {
                        "name": "grey board",
                        "kind": "card",
                        "stock": [
                            {"name": "sheet", "width": 300, "height": 200, "count": 2},
                            {"name": "offcut", "width": 170, "height": 170},
                            {
                                "name": "angle",
                                "outline": [
                                    [0, 0],
                                    [260, 0],
                                    [260, 90],
                                    [90, 90],
                                    [90, 260],
                                    [0, 260],
                                ],
                            },
                        ],
                    },
                }
            ],
        }
    )
    run = kit.run()
    assert [(load.outlines["Q"], load.repeats) for load in run.loads] == [(6, 2), (4, 1), (5, 1)]
    assert run.total("Q") == (21, 21, 0)
    assert [each["unused"] for each in run.payload["stock"]] == [0, 0, 0]
    assert run.min_loads == 3
    assert run.payload["loads_above_min"] == 1
    taken = ("2 pieces", "sheet", "2 in stock", "1 piece", "offcut", "1 piece", "angle")
    assert kit.sheet.together(*taken)

"""Templates of two colours cut as one heap: how many, and how the heap is sorted into bags."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs.studio import Kit, Studio

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester


def _kit(studio: Studio, red: int, blue: int, **run: Any) -> Kit:
    def square(name: str, quantity: int) -> dict[str, Any]:
        return {"id": name, "shape": {"kind": "square", "side": "2"}, "quantity": quantity}

    return studio.kit(
        {
            "title": "Two colours, one heap",
            "units": "in",
            "pieces": [
                square("red", red),
                square("blue", blue),
                {"id": "tip", "shape": {"kind": "triangle", "side": "2"}, "quantity": 8},
            ],
            "runs": [
                {
                    "cut": "template",
                    "cutter": "laser-bed",
                    "gap": "1/16",
                    "merge_identical": True,
                    "material": {
                        "name": "chip board",
                        "kind": "card",
                        "width": "8 1/2",
                        "height": "11",
                    },
                    **run,
                }
            ],
        }
    )


@pytest.mark.parametrize(("squares", "red"), [(10, 5), (11, 6)])
def test_each_colour_has_templates_of_its_own(studio: Studio, squares: int, red: int) -> None:
    """Each template is used twice. 15 blue squares take ceil(15 / 2) = 8, 10 red ones 5, 11 take 6.

    A blue template that has a use left does not serve for red: it lies in another bag. So 11 and 15
    take 14, not ceil(26 / 2) = 13. Eight tips take four.
    """
    kit, blue = _kit(studio, squares, 15, reuse=2), 8
    run = kit.run()
    assert run.total("red") == (red + blue, red + blue, 0)
    assert "missing" not in run.payload["totals"]["red"]
    assert run.total("tip") == (4, 4, 0)
    assert kit.sheet.together(f"Of the {red + blue}:", f"{red} for red", f"{blue} for blue")
    assert kit.sheet.together(f"{red} of red", f"{blue} of blue", "4 of tip")
    assert kit.labels.says(f"{red} templates", f"{blue} templates", "4 templates")


def test_what_no_colour_needs_is_left_over(studio: Studio) -> None:
    """26 squares in four layers are 7 outlines, 28 squares: 11 red, 15 blue and 2 of no colour."""
    kit = _kit(studio, 11, 15, layers=4)
    assert kit.run().total("red") == (26, 28, 2)
    assert kit.sheet.together("11 of red", "15 of blue", "8 of tip", "2 are left over")

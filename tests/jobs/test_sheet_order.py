"""The run sheet of a stack cut many times: what stands where, and what is counted.

A class of 30 needs 360 squares of 60 mm finished, 5 mm allowance: patches of 70 mm. The bed leaves
300 x 150 mm: 4 by 2 squares (4 x 70 + 3 x 2 = 286, 2 x 70 + 2 = 142). In 3 layers a load gives 24,
so 360 take 15 loads, all alike: one load, cut 15 times, in three groups of five boxes.

The order of the work is common practice (no source): safety before anything is switched on, then
what to prepare and how to judge a test cut, then the loads; notes about formats are not for the
bench and stand on the last page alone.
"""

from __future__ import annotations

import re

import pytest

from tests.jobs.studio import Json, Kit, Studio

REQUEST: Json = {
    "title": "Lantern squares",
    "units": "mm",
    "pieces": [
        {
            "id": "S",
            "shape": {"kind": "square", "side": 60},
            "quantity": 360,
            "seam_allowance": 5,
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "layers": 3,
            "gap": 2,
            "material": {"name": "red cotton", "kind": "stiffened_fabric"},
            "cutter": {
                "tool": {"kind": "indexed_blade"},
                "bed": {"width": 300, "height": 150},
            },
            "formats": ["hpgl"],
        }
    ],
}


@pytest.fixture(scope="module")
def kit(studio: Studio) -> Kit:
    return studio.kit(REQUEST)


@pytest.fixture(scope="module")
def pages(kit: Kit) -> list[str]:
    return [re.sub(r"\s+", " ", page.extract_text()) for page in kit.sheet.reader.pages]


def test_loads_are_counted_by_hand(kit: Kit) -> None:
    (run,) = kit.payload["runs"]
    assert sum(load["repeats"] for load in run["loads"]) == 15
    assert {load["pieces"]["S"] for load in run["loads"]} == {24}


def test_a_stack_says_what_makes_its_count(pages: list[str]) -> None:
    assert "24 of S: 8 outlines x 3 layers" in " ".join(pages)


def test_every_repeat_has_a_box(kit: Kit) -> None:
    page = kit.client.get(kit.payload["run_sheet_page"]).get_data(as_text=True)
    groups = re.findall(r'<span class="five">(.*?)</span> ', page)
    boxes = [group.count('class="box"') for group in groups]
    repeats = [load["repeats"] for load in kit.payload["runs"][0]["loads"] if load["repeats"] > 1]
    assert sum(boxes) == sum(repeats)
    assert all(count <= 5 for count in boxes)


def test_the_order_of_the_work(pages: list[str]) -> None:
    text = " ".join(pages)
    order = [
        "Cautions", "Prepare", "If the test cut is wrong", "load 1", "In all",
        "For the office",
    ]  # fmt: skip
    at = 0
    for word in order:
        at = text.index(word, at + 1)
    # The check square's words name the heading too, so its last mention is the heading.
    assert text.rindex("If the test cut is wrong") < text.index("Run 1: patch, red cotton, load 1")


def test_formats_are_mentioned_on_the_last_page_alone(kit: Kit, pages: list[str]) -> None:
    about_formats = [each for each in kit.payload["warnings"] if "HP-GL" in each]
    assert about_formats
    assert not any("HP-GL" in page for page in pages[:-1])
    for each in about_formats:
        # Members of the request, in brackets, are left to the answer.
        assert re.sub(r' \("\w+": [^()]*\)', "", each) in pages[-1]


def test_loads_cut_in_turn_say_so_beside_each(kit: Kit, pages: list[str]) -> None:
    (line,) = [each for each in kit.payload["warnings"] if "in turn" in each]
    words = line.partition(": ")[2]
    first, second = re.findall(r"in turn with load (\d+)", " ".join(pages))[:2]
    assert first != second
    assert " ".join(pages).count(words) == 2

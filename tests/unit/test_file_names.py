"""Names of files: ASCII, from run, cut, material, load; one name never stands for two files."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from adapters import registry
from geometry.model.cutter import Bed, Cutter, Pen, WorkArea
from service.kits import file_names
from service.requests.materials import Material
from service.requests.runs import Cut, Run


def run_of(number: int, cut: Cut, name: str, formats: tuple[str, ...] = ("svg",)) -> Run:
    cutter = Cutter("", Pen(), Bed(100.0, 100.0))
    area = WorkArea.rectangle(0.0, 0.0, 100.0, 100.0)
    return Run(number, cut, cutter, area, Material(name, "fabric"), {"A": 1}, formats, 0.0)


@pytest.mark.parametrize(
    ("material", "word"),
    [
        ("blue cotton", "blue-cotton"),
        ("Große Blüte, Nr. 3", "grosse-blute-nr-3"),
        ("Łódź – żółty", "lodz-zolty"),
        ("smørrebrød & æble", "smorrebrod-aeble"),
        # Nothing of it is ASCII: the material's kind stands in.
        ("藍色の布", "fabric"),
        ("../../etc/passwd", "etc-passwd"),
        ("a very long name of a cloth that never seems to end", "a-very-long-name-of-a-cloth-that"),
    ],
)
def test_a_material_becomes_a_plain_word(material: str, word: str) -> None:
    name = file_names.file_name(run_of(1, "patch", material), 2, "svg")
    assert name == f"1-patch-{word}-2.svg"
    assert name.isascii()


def test_station_and_picture_follow_the_load() -> None:
    run = run_of(3, "template", "card")
    assert file_names.file_name(run, 2, "dxf", "station-4") == "3-template-card-2-station-4.dxf"
    assert file_names.picture_name(run, 2) == "3-template-card-2-picture.svg"
    assert file_names.path_picture_name(run, 2) == "3-template-card-2-path-picture.svg"


class _Extended:
    """A format that shares an extension with another."""

    def __init__(self, extension: str) -> None:
        self.extension = extension


def test_no_two_files_share_a_name(monkeypatch: pytest.MonkeyPatch) -> None:
    """Runs of like materials, formats that share an extension or are named like a picture."""
    names = (
        "svg",
        "ext_svg",
        "picture",
        "path_picture",
        "station_1",
        "pen",
        "format_picture",
        "format",
    )
    monkeypatch.setattr(registry, "get", lambda name: _Extended("SVG" if "ext" in name else "svg"))
    first = run_of(1, "patch", "blue 1", names)
    runs = [first, replace(first, number=2), replace(first, material=Material("blue", "fabric"))]
    # The third run's material and number together look like the first's: only the number differs.
    runs[2] = replace(runs[2], number=3)
    made = [
        file_names.file_name(run, load, name, part)
        for run, load, name, part in product(
            runs, (1, 2, 11), names, ("", "pen", "station-1", "station-12")
        )
    ]
    made += [each(run, load) for each in (file_names.picture_name, file_names.path_picture_name)
             for run, load in product(runs, (1, 2, 11))]  # fmt: skip
    # Some file systems take capitals for small letters.
    assert len({name.lower() for name in made}) == len(made)

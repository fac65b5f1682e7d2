"""Texts for the bench stand in one gettext catalogue, and none is written past it."""

from __future__ import annotations

import html
import io
import json
import re
import struct
from collections.abc import Iterator, Mapping
from pathlib import Path
from string import ascii_lowercase
from typing import Any

import pypdf
import pytest
from flask.testing import FlaskClient

from service import texts
from service.texts import extract
from service.tools.built_in import BUILT_IN
from tests import requested
from tests.bench_kits import KITS, SHORT_KITS
from tests.printed_words import printed_words
from tests.short_form import short_form

KIT: dict[str, Any] = {
    "title": "7777",
    "units": "in",
    "copies": 2,
    "spares": {"pieces": 1},
    "pieces": [
        {"id": "1", "shape": {"kind": "square", "side": "1"}, "quantity": 30, "grain": "fixed",
         "seam_allowance": "1/4"},
        {"id": "2", "shape": {"kind": "square", "side": "1"}, "quantity": 30, "grain": "fixed",
         "seam_allowance": "1/4"},
    ],
    "runs": [
        {"cut": "patch", "cutter": "indexed-blade-hoop", "layers": 2, "stack": "face_to_face",
         "effort": "quick", "material": {"name": "8888", "kind": "stiffened_fabric"}},
        {"cut": "template", "cutter": "drag-blade-sheet", "reuse": 2, "effort": "quick",
         "material": {"name": "9999", "kind": "card", "width": "8 1/2", "height": "11"}},
        {"cut": "patch", "cutter": "die-board", "effort": "quick",
         "material": {"name": "6666", "kind": "fabric"}},
    ],
}  # fmt: skip


def test_the_catalogue_is_that_of_the_source() -> None:
    """``python -m service.texts.extract`` rewrites it."""
    assert extract.TEMPLATE.read_text(encoding="utf-8") == extract.template()
    assert 'msgid "1 kit"' in extract.template()


def test_a_language_without_a_catalogue_is_not_spoken(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError), texts.speaking("xx", tmp_path):
        pass


def compiled(texts: dict[str, str]) -> bytes:
    """Return a compiled catalogue; plurals are joined by NUL, as gettext's format has them."""
    rows = sorted((one.encode(), text.encode()) for one, text in texts.items())
    count, start = len(rows), 28
    keys, values = bytearray(), bytearray()
    key_rows, value_rows = [], []
    for one, text in rows:
        key_rows.append((len(one), len(keys)))
        keys += one + b"\0"
        value_rows.append((len(text), len(values)))
        values += text + b"\0"
    first = start + 16 * count
    tables = b"".join(struct.pack("<2I", length, first + at) for length, at in key_rows)
    tables += b"".join(
        struct.pack("<2I", length, first + len(keys) + at) for length, at in value_rows
    )
    head = struct.pack("<7I", 0x950412DE, 0, count, start, start + 8 * count, 0, start)
    return head + tables + bytes(keys) + bytes(values)


def _marked(folder: Path) -> Path:
    """Write a catalogue in which every text stands between marks."""
    found = extract.messages()
    marked = {one: f"«{one}»" for one, many in found if not many}
    marked |= {f"{one}\0{many}": f"«{one}»\0«{many}»" for one, many in found if many}
    home = folder / "xx" / "LC_MESSAGES"
    home.mkdir(parents=True)
    (home / "quarterseam.mo").write_bytes(compiled({"": extract.HEADER, **marked}))
    return folder


@pytest.fixture(scope="module")
def locale(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return _marked(tmp_path_factory.mktemp("locale"))


def _outside(text: str) -> str:
    """Return what stands between no marks."""
    depth, kept = 0, []
    for letter in text:
        depth += {"«": 1, "»": -1}.get(letter, 0)
        if depth == 0 and letter != "»":
            kept.append(letter)
    return "".join(kept)


def _spoken(files: Mapping[str, bytes], answer: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Yield what a kit says to people, and where."""
    yield "warnings", " ".join(answer["warnings"])
    yield "cautions", " ".join(texts.gettext(each) for each in answer["cautions"])
    for name, data in files.items():
        if name.endswith(".html"):
            yield name, _of_markup(data.decode().partition("<body>")[2])
        elif name.endswith("picture.svg"):
            yield name, _of_markup(data.decode())
        elif name.endswith(".pdf"):
            yield name, printed_words(data)


def _of_markup(text: str) -> str:
    spoken = re.findall(r'aria-label="([^"]*)"', text)
    return html.unescape(" ".join([re.sub(r"<[^>]*>", " ", text), *spoken]))


#: Units, and short forms that stand in no sentence; names of formats and of what files hold.
PLAIN = {
    "in", "mm", "cm", "m", "ft", "yd", "x", "s", "min", "h", "lbf", "kN", "about", "A", "gcode",
    "svg", "dxf", "hpgl", "pdf", "page", *ascii_lowercase,
}  # fmt: skip


def _own_words(value: Any) -> set[str]:
    """Return the words that a request itself holds."""
    if isinstance(value, dict):
        return set().union(*(_own_words(each) for each in value.values()), set())
    if isinstance(value, list):
        return set().union(*(_own_words(each) for each in value), set())
    return set(_WORD.findall(str(value)))


_WORD = re.compile(r"[A-Za-z](?:[\w.-]*\w)?")


@pytest.mark.without_nester
@pytest.mark.parametrize("path", short_form(KITS, SHORT_KITS), ids=lambda path: path.stem)
def test_nothing_that_is_read_is_written_past_the_catalogue(path: Path, locale: Path) -> None:
    """Of ten kits: warnings, sheets, labels, pictures and pages for printing.

    A caller's own words, names of files and units are the rest.
    """
    body = json.loads(path.read_text(encoding="utf-8"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("service.kits.kits.speaking", lambda _: texts.speaking("xx", locale))
        made = requested.kit(body, BUILT_IN.get, read_back=False)
        with texts.speaking("xx", locale):
            spoken = list(_spoken(made.files, made.answer))
    own = _own_words(body) | PLAIN
    files = {word for name in made.files for word in _WORD.findall(name)}
    past = {}
    for where, text in spoken:
        words = set(_WORD.findall(_outside(text)))
        # The head of a cutting file holds plain letters only, and loses the marks.
        head = {"Run", "load"} if where.endswith(".pdf") and where[0].isdigit() else set()
        rest = {word for word in words - own - files - head if not word.isupper()}
        if rest:
            past[where] = sorted(rest)
    assert past == {}


EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"


@pytest.mark.parametrize(
    ("path", "example"),
    [
        ("/v1/blocks", "harbour-block"),
        pytest.param("/v1/quilt-plans", "harbour-star-quilt", marks=pytest.mark.long),
        ("/v1/quilt-plans", "harbour-quilt"),
        ("/v1/yardage", "harbour-yardage"),
    ],
)
def test_pages_to_print_are_not_written_past_the_catalogue(
    client: FlaskClient, locale: Path, monkeypatch: pytest.MonkeyPatch, path: str, example: str
) -> None:
    """Pages of blocks, plans and yardage: a caller's words, letters and units are the rest."""
    # A child would not know of the catalogue that is spoken here.
    monkeypatch.setattr("service.sandbox.run.is_here", lambda **_: True)
    body = json.loads((EXAMPLES / f"{example}.json").read_text(encoding="utf-8"))
    with texts.speaking("xx", locale):
        answer = client.post(path, json=body, headers={"Accept": "application/pdf"})
    assert answer.status_code == 200
    pages = pypdf.PdfReader(io.BytesIO(answer.data)).pages
    words = set(_WORD.findall(_outside(" ".join(page.extract_text() for page in pages))))
    kinds = {
        "round",
        "corner",
        "triangle",
        "border-1-sides",
        "border-1-ends",
        "border-2-sides",
        "border-2-ends",
    }
    # Fabrics that are named after their place, and strips of borders.
    own = _own_words(body) | PLAIN | kinds
    assert {word for word in words - own if not re.fullmatch(r"[A-Z]+\d*", word)} == set()


def test_the_sheet_is_in_the_language_of_the_request() -> None:
    body = KIT | {"language": "en", "runs": KIT["runs"][2:]}
    made = requested.kit(body, BUILT_IN.get, read_back=False)
    assert '<html lang="en">' in made.files["run-sheet.html"].decode()
    assert b"/Lang (en)" in made.files["run-sheet.pdf"]

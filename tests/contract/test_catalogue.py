"""Texts for the bench stand in one gettext catalogue, and none is written past it."""

from __future__ import annotations

import re
import struct
from pathlib import Path
from typing import Any

import pytest

from service import texts
from service.texts import extract
from service.tools.built_in import BUILT_IN
from tests import requested

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
def page(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = _marked(tmp_path_factory.mktemp("locale"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("service.kits.kits.speaking", lambda _: texts.speaking("xx", folder))
        return requested.kit(KIT, BUILT_IN.get, read_back=False).files["run-sheet.html"].decode()


def _outside(text: str) -> str:
    """Return what stands between no marks."""
    depth, kept = 0, []
    for letter in text:
        depth += {"«": 1, "»": -1}.get(letter, 0)
        if depth == 0 and letter != "»":
            kept.append(letter)
    return "".join(kept)


def test_no_sentence_of_the_sheet_is_written_past_the_catalogue(page: str) -> None:
    """Names of cutters and files, shapes and their sizes, units and warnings are the rest."""
    body = page.partition("<body>")[2]
    # A section of warnings: what the answer says too.
    body = re.sub(r"<section><h[23]>«Warnings»</h[23]>.*?</section>", "", body)
    body = re.sub(r"<section class=\"office\">.*", "", body, flags=re.DOTALL)
    spoken = re.findall(r'aria-label="([^"]*)"', body)
    text = " ".join([re.sub(r"<[^>]*>", " ", body), *spoken])
    words = set(re.findall(r"[A-Za-z][\w.-]*", _outside(text)))
    names = {"indexed-blade-hoop", "drag-blade-sheet", "die-board"}
    rest = {word for word in words if not word.endswith(".svg")} - names
    assert rest <= {"square", "side", "in", "x", "s", "min", "h", "ft", "about"}, rest


def test_the_sheet_is_in_the_language_of_the_request() -> None:
    body = KIT | {"language": "en", "runs": KIT["runs"][2:]}
    made = requested.kit(body, BUILT_IN.get, read_back=False)
    assert '<html lang="en">' in made.files["run-sheet.html"].decode()
    assert b"/Lang (en)" in made.files["run-sheet.pdf"]

"""Writes the catalogue's template and the English catalogue from the source.

``python -m service.texts.extract`` rewrites ``locale``; a test checks that nothing has changed. A
translator copies the template to ``locale/LANGUAGE/LC_MESSAGES/quarterseam.po``, fills it in and
compiles it with any tool for gettext catalogues.
"""

from __future__ import annotations

import ast
import struct
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from jinja2 import Environment, nodes

from service.texts import DOMAIN, LOCALE
from service.texts.scripts import messages_of_script

_ROOT: Final = Path(__file__).resolve().parents[1]
_ONE: Final = frozenset({"_", "_later", "gettext", "gettext_noop"})
_MANY: Final = "ngettext"
_HEADER: Final = (
    "Content-Type: text/plain; charset=UTF-8\n"
    "Content-Transfer-Encoding: 8bit\n"
    "Language: en\n"
    "Plural-Forms: nplurals=2; plural=(n != 1);\n"
)

#: A message and its plural, which is empty where it has none.
Message = tuple[str, str]


def messages() -> list[Message]:
    """Return all messages of the source, sorted."""
    found: dict[str, str] = {}
    for path in sorted(_ROOT.rglob("*.py")):
        for one, many in _of_module(path.read_text(encoding="utf-8")):
            found[one] = many or found.get(one, "")
    for path in sorted((_ROOT / "documents" / "templates").glob("*.html")):
        for one in _of_template(path.read_text(encoding="utf-8")):
            found.setdefault(one, "")
    for path in sorted((_ROOT / "page").glob("*.js")):
        for one, many in messages_of_script(path.read_text(encoding="utf-8")):
            found[one] = many or found.get(one, "")
    return sorted(found.items())


def _of_module(source: str) -> Iterator[Message]:
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name) or not node.args:
            continue
        texts = [
            each.value
            for each in node.args[:2]
            if isinstance(each, ast.Constant) and isinstance(each.value, str)
        ]
        if node.func.id in _ONE and texts:
            yield texts[0], ""
        elif node.func.id == _MANY and len(texts) > 1:
            yield texts[0], texts[1]


def _of_template(source: str) -> Iterator[str]:
    for call in Environment(autoescape=True).parse(source).find_all(nodes.Call):
        if isinstance(call.node, nodes.Name) and call.node.name == "_" and call.args:
            first = call.args[0]
            if isinstance(first, nodes.Const) and isinstance(first.value, str):
                yield first.value


def catalogue_text(found: list[Message], *, translated: bool) -> str:
    """Return messages in the form of a catalogue's text; translated ones by themselves."""
    parts = [_entry("", "", _HEADER, "")]
    for one, many in found:
        parts.append(_entry(one, many, one if translated else "", many if translated else ""))
    return "\n".join(parts)


def _entry(one: str, many: str, text: str, texts: str) -> str:
    if not many:
        return f"msgid {_quoted(one)}\nmsgstr {_quoted(text)}\n"
    return (
        f"msgid {_quoted(one)}\nmsgid_plural {_quoted(many)}\n"
        f"msgstr[0] {_quoted(text)}\nmsgstr[1] {_quoted(texts)}\n"
    )


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    lines = escaped.split("\n")
    if len(lines) == 1:
        return f'"{escaped}"'
    return '""\n' + "\n".join(f'"{line}\\n"' for line in lines if line)


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


def english(found: list[Message]) -> dict[str, str]:
    """Return the English catalogue: every message is its own translation."""
    texts = {"": _HEADER}
    for one, many in found:
        texts[f"{one}\0{many}" if many else one] = f"{one}\0{many}" if many else one
    return texts


def files() -> dict[Path, bytes]:
    """Return the catalogue's files by their paths."""
    found = messages()
    folder = LOCALE / "en" / "LC_MESSAGES"
    return {
        LOCALE / f"{DOMAIN}.pot": catalogue_text(found, translated=False).encode(),
        folder / f"{DOMAIN}.po": catalogue_text(found, translated=True).encode(),
        folder / f"{DOMAIN}.mo": compiled(english(found)),
    }


if __name__ == "__main__":
    for path, data in files().items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)

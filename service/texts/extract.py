"""Writes the catalogue's template from the source.

``python -m service.texts.extract`` rewrites it; a test checks that nothing has changed. A
translator copies the template to ``locale/LANGUAGE/LC_MESSAGES/quarterseam.po``, fills it in and
compiles it with any tool for gettext catalogues.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from jinja2 import Environment, nodes

from geometry.shapes.words import nouns, size_words
from service.texts import DOMAIN, LOCALE
from service.texts.scripts import messages_of_script

TEMPLATE: Final = LOCALE / f"{DOMAIN}.pot"
_ROOT: Final = Path(__file__).resolve().parents[1]
#: Packages whose sentences are marked by ``said``: they know no catalogue.
_BELOW: Final = ("geometry", "adapters")
_ONE: Final = frozenset({"_", "_later", "gettext", "gettext_noop", "said"})
_MANY: Final = frozenset({"ngettext", "said_of"})
HEADER: Final = (
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
    below = [path for name in _BELOW for path in (_ROOT.parent / name).rglob("*.py")]
    for path in sorted([*_ROOT.rglob("*.py"), *below]):
        for one, many in _of_module(path.read_text(encoding="utf-8")):
            found[one] = many or found.get(one, "")
    for path in sorted((_ROOT / "documents" / "templates").glob("*.html")):
        for one in _of_template(path.read_text(encoding="utf-8")):
            found.setdefault(one, "")
    # What is said of shapes is made from the catalogue of shapes.
    found.update(nouns())
    found.update((one, found.get(one, "")) for one in size_words())
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
        elif node.func.id in _MANY and len(texts) > 1:
            yield texts[0], texts[1]


def _of_template(source: str) -> Iterator[str]:
    for call in Environment(autoescape=True).parse(source).find_all(nodes.Call):
        if isinstance(call.node, nodes.Name) and call.node.name == "_" and call.args:
            first = call.args[0]
            if isinstance(first, nodes.Const) and isinstance(first.value, str):
                yield first.value


def _entry(one: str, many: str, text: str) -> str:
    if not many:
        return f"msgid {_quoted(one)}\nmsgstr {_quoted(text)}\n"
    return (
        f"msgid {_quoted(one)}\nmsgid_plural {_quoted(many)}\n"
        f"msgstr[0] {_quoted(text)}\nmsgstr[1] {_quoted(text)}\n"
    )


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    lines = escaped.split("\n")
    if len(lines) == 1:
        return f'"{escaped}"'
    return '""\n' + "\n".join(f'"{line}\\n"' for line in lines if line)


def template() -> str:
    """Return the catalogue's template."""
    parts = [_entry("", "", HEADER), *(_entry(one, many, "") for one, many in messages())]
    return "\n".join(parts)


if __name__ == "__main__":
    TEMPLATE.write_text(template(), encoding="utf-8")

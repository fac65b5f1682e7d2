"""The page for the person at the bench: its files, and its texts in the catalogue's language.

HTML, CSS and JavaScript modules as they are served, without a build step. ``lit-html.js`` is
lit-html 3.3.3 (BSD-3-Clause, see ``LICENSE-lit-html``), unchanged but for its last comment.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Final

from service.texts import forms
from service.texts import gettext as _
from service.texts.scripts import messages_of_script

FOLDER: Final = Path(__file__).parent
TEXTS: Final = "texts.json"
MEDIA: Final = {
    ".html": "text/html",
    ".css": "text/css",
    ".js": "text/javascript",
    ".json": "application/json",
}


@cache
def names() -> frozenset[str]:
    """Return the names of the page's files, ``texts.json`` among them."""
    found = {each.name for each in FOLDER.iterdir() if each.suffix in MEDIA}
    return frozenset(found | {TEXTS})


@cache
def read(name: str) -> bytes:
    """Return the content of one of the page's files.

    Raises:
        KeyError: when the page has no such file.
    """
    if name not in names():
        raise KeyError(name)
    return _texts() if name == TEXTS else (FOLDER / name).read_bytes()


def media_type(name: str) -> str:
    """Return the media type of one of the page's files."""
    return MEDIA[Path(name).suffix]


def _texts() -> bytes:
    """Return the page's texts as JSON: by the English text, what is shown for it.

    A text that depends on a number has a list of two: for one, and for several.
    """
    found: dict[str, str | list[str]] = {}
    for path in sorted(FOLDER.glob("*.js")):
        for one, many in messages_of_script(path.read_text(encoding="utf-8")):
            if many:
                # The page fills the number in itself.
                found[one] = forms(one, many)
            else:
                found.setdefault(one, _(one))
    return json.dumps(found, ensure_ascii=False, sort_keys=True).encode()

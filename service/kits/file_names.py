"""Names of a run's files: run, cut, material, load, and where needed station or pen, and format.

``1-patch-blue-cotton-2-station-3-svg.svg`` is the third station of the second load of run 1.
A name is unique by construction: the run's number starts it, one run has one material, and what
follows the load's number is nothing, a station or the pen, a picture, or a format whose name cannot
be taken for one of those. Files of a recut start with ``recut``: beside the kit's own, in the
machine's list, neither replaces the other.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from adapters import registry
from adapters.transliteration import plain_letters
from service.requests.runs import Run

_NOT_PLAIN = re.compile(r"[^a-z0-9]+")
#: Characters of a material in a file's name; the whole name stays readable in a machine's list.
_MAX_SLUG = 32
#: A format of such a name could be taken for another part of a file's name.
_RESERVED = ("picture", "path", "station", "pen", "format")


def slug(text: str) -> str:
    """Return a text as ASCII letters, digits and single hyphens; empty where none are left."""
    words = _NOT_PLAIN.sub("-", plain_letters(text).lower()).strip("-")
    if len(words) <= _MAX_SLUG:
        return words
    # Cut between two words where one ends early enough.
    head = words[: _MAX_SLUG + 1].rpartition("-")[0]
    return head if len(head) >= _MAX_SLUG // 2 else words[:_MAX_SLUG].strip("-")


def stem(run: Run) -> str:
    """Return what the names of all files of a run start with."""
    material = slug(run.material.name) or slug(run.material.kind)
    again = "recut-" if run.is_recut else ""
    return f"{again}{run.number}-{run.cut}-{material}"


def picture_name(run: Run, load: int) -> str:
    """Return the name of a load's picture."""
    return f"{stem(run)}-{load}-picture.svg"


def path_picture_name(run: Run, load: int) -> str:
    """Return the name of the picture of a load's tool path."""
    return f"{stem(run)}-{load}-path-picture.svg"


def file_name(run: Run, load: int, format_name: str, part: str = "") -> str:
    """Return the name of a load's file, or of a part of it (``pen`` or ``station-2``)."""
    extension = _extension(format_name)
    alike = [each for each in run.formats if _extension(each).lower() == extension.lower()]
    word = f"-{part}" if part else ""
    return f"{stem(run)}-{load}{word}{_told_apart(format_name, alike)}.{extension}"


def _told_apart(format_name: str, alike: Sequence[str]) -> str:
    """Return a format's part of a file's name: nothing where its extension says enough."""
    if len(alike) < 2:  # noqa: PLR2004 - one alone is known by its extension
        return ""
    word = format_name.replace("_", "-")
    if len({each.replace("_", "-") for each in alike}) < len(alike):
        word = format_name
    return f"-format-{word}" if word.startswith(_RESERVED) else f"-{word}"


def _extension(format_name: str) -> str:
    return registry.get(format_name).extension.lstrip(".")

"""The files that a plug-in's process may read: installed code and system libraries.

The entries of the import path are not all safe to read: ``python -m`` puts the current folder
first, which may hold the server's data, or be the root of the file system.
"""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterable, Iterator, Sequence
from importlib.machinery import PathFinder, all_suffixes
from importlib.util import find_spec
from pathlib import Path
from typing import Any

#: What a Python process reads besides its own code: libraries, programs, fonts and time zones.
_SYSTEM = (
    "/usr/bin", "/usr/lib", "/usr/lib32", "/usr/lib64", "/usr/libexec", "/usr/share",
    "/usr/local/bin", "/usr/local/lib", "/usr/local/lib64", "/usr/local/share",
    "/lib", "/lib32", "/lib64", "/etc/ld.so.cache", "/etc/localtime", "/dev/urandom",
)  # fmt: skip
#: Parts of a Python installation; a virtual environment may lie in a folder with other files.
_PARTS = ("bin", "lib", "lib64", "pyvenv.cfg", "share/zoneinfo")
#: Folders into which packages are installed.
_INSTALLED = ("site-packages", "dist-packages")
#: Folders beside packages: their metadata, and libraries that are bundled with them.
_BESIDE = (".dist-info", ".egg-info", ".libs")
#: The packages that a plug-in imports from.
_OURS = ("adapters", "geometry")


def readable_places(path: Iterable[str], module: str, hidden: Iterable[str]) -> list[str]:
    """Return the files and folders that a plug-in's process may read.

    Args:
        path: the import path.
        module: the plug-in's own module.
        hidden: folders that it must not read, even where they lie inside a readable one.
    """
    working_folder = Path.cwd().resolve()
    places = [
        *(Path(prefix) / part for prefix in (sys.prefix, sys.base_prefix) for part in _PARTS),
        *map(Path, _SYSTEM),
        *(place for name in (*_OURS, module.partition(".")[0]) for place in _of_module(name)),
        *(place for each in path for place in _of_entry(Path(each), working_folder)),
    ]
    kept_from = [Path(each).resolve() for each in hidden]
    found = dict.fromkeys(
        str(part) for place in places for part in _without(place.resolve(), kept_from)
    )
    return list(found)


def keep_found_modules() -> None:
    """Make the interpreter list all folders of the import path now, and never again.

    A folder that also holds other files cannot be listed once the process is confined. If the
    interpreter tried to, because the folder has changed, it would import nothing more from it.
    """
    PathFinder.find_spec("no_module_has_this_name")
    finders: list[Any] = list(sys.path_importer_cache.values())
    for finder in finders:
        if hasattr(finder, "_fill_cache"):
            finder._fill_cache = lambda: None  # noqa: SLF001 - there is no public way


def _of_module(name: str) -> Iterator[Path]:
    """Yield a module's file, or a package's folders, found without running its code."""
    with contextlib.suppress(Exception):
        spec = find_spec(name)
        if spec is not None and spec.submodule_search_locations is not None:
            yield from map(Path, spec.submodule_search_locations)
        elif spec is not None and spec.origin:
            yield Path(spec.origin)


def _of_entry(entry: Path, working_folder: Path) -> Iterator[Path]:
    """Yield the files and folders of an entry of the import path that may be read."""
    with contextlib.suppress(OSError):
        if not entry.is_dir():
            # An archive, or a folder in one.
            yield from [each for each in (entry, *entry.parents) if each.is_file()][:1]
        elif entry.name in _INSTALLED:
            yield entry
        elif entry.resolve() != working_folder:
            yield from (each for each in entry.iterdir() if _is_code(each))


def _is_code(place: Path) -> bool:
    if place.is_dir():
        named = place.name == "__pycache__" or place.name.endswith(_BESIDE)
        return named or (place / "__init__.py").is_file()
    return place.name.endswith(tuple(all_suffixes()))


def _without(place: Path, hidden: Sequence[Path]) -> Iterator[Path]:
    """Yield a place, or if a hidden folder lies below it, everything in it but that folder."""
    # Code is never directly in the root of the file system.
    if place == Path(place.anchor) or any(place.is_relative_to(each) for each in hidden):
        return
    if not any(each.is_relative_to(place) for each in hidden):
        yield place
        return
    with contextlib.suppress(OSError):
        for each in place.iterdir():
            # A link's target is readable only if it lies in another readable place.
            if not each.is_symlink():
                yield from _without(each, hidden)

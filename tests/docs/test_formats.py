"""A format costs one file, one entry-point line, one round-trip test and one README row."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from adapters import registry

ROOT = Path(__file__).resolve().parents[2]
#: Modules of the package that are no formats.
_OTHER = {
    "__init__", "api_page", "axes", "colours", "confined_write", "conformance",
    "conformance_class", "contract", "crossings", "errors", "frame",
    "gcode_settings", "mutations", "names", "nearest_places", "numbers", "page_lines", "pages",
    "path_deviation", "pdf_check",
    "pdf_layers", "pdf_marks", "pdf_names", "pdf_pages", "pdf_words", "plugin_api", "plugin_child",
    "plugin_code", "plugins", "readback", "registry", "repeated_shapes", "sample", "silent_losses",
    "split", "steps", "stop_faults", "stroke_faults", "tracks", "transliteration", "whole_pages",
    "wrong_settings",
}  # fmt: skip


def missing(
    name: str,
    *,
    entries: dict[str, str],
    tests: str,
    readme: str,
    files: set[str],
    readers: set[str],
) -> str:
    """Return what a format still lacks, nothing when it is whole."""
    if name not in files:
        return f"adapters/{name}.py"
    if name not in readers:
        return f"adapters/readers/{name}.py, by another hand than the writer"
    if entries.get(name) != f"adapters.{name}:ADAPTER":
        return "its entry-point line"
    if not re.search(rf"^def test_{name}_by_\w+\(", tests, re.MULTILINE):
        return "a round-trip test by an outside reader, test_<name>_by_<reader>"
    if not re.search(rf"^\| `{name}` \| .+ \| .+ \| .+ \|$", readme, re.MULTILINE):
        return "its README row"
    return ""


def facts() -> dict[str, object]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    return {
        "entries": project["entry-points"][registry.GROUP],
        "tests": "\n".join(
            file.read_text() for file in sorted((ROOT / "tests" / "roundtrip").glob("test_*.py"))
        ),
        "readme": (ROOT / "README.md").read_text(),
        "files": {file.stem for file in (ROOT / "adapters").glob("*.py")} - _OTHER,
        "readers": {file.stem for file in (ROOT / "adapters" / "readers").glob("*.py")},
    }


@pytest.mark.parametrize("name", sorted(facts()["files"] | set(registry.BUILT_IN)))  # type: ignore[operator]
def test_a_format_is_whole(name: str) -> None:
    assert missing(name, **facts()) == ""  # type: ignore[arg-type]
    assert name in registry.BUILT_IN
    assert registry.get(name).name == name


@pytest.mark.parametrize("fact", ["entries", "tests", "readme", "files", "readers"])
def test_what_is_missing_is_seen(fact: str) -> None:
    empty = {"entries": {}, "tests": "", "readme": "", "files": set(), "readers": set()}
    assert missing("svg", **{**facts(), fact: empty[fact]})  # type: ignore[arg-type]


def test_the_entry_points_are_the_list_of_the_registry() -> None:
    listed = {name: f"{module}:ADAPTER" for name, module in registry.BUILT_IN.items()}
    assert facts()["entries"] == listed

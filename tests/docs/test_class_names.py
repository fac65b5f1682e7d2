"""A public class name stands once in the code, so that it is found by its name alone."""

from __future__ import annotations

import ast
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("geometry", "adapters", "service")


def twice(sources: dict[str, str]) -> dict[str, list[str]]:
    """Return the public classes that stand in several modules, and these modules."""
    modules = defaultdict(list)
    for name, text in sources.items():
        for node in ast.parse(text).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                modules[node.name].append(name)
    return {name: found for name, found in modules.items() if len(found) > 1}


def test_class_names_stand_once() -> None:
    sources = {
        str(file.relative_to(ROOT)): file.read_text(encoding="utf-8")
        for package in PACKAGES
        for file in sorted((ROOT / package).rglob("*.py"))
    }
    assert len(sources) > 400
    assert twice(sources) == {}


def test_a_second_class_of_a_name_is_found() -> None:
    sources = {"a.py": "class Edge: ...", "b.py": "class Edge: ...\nclass _Way: ...", "c.py": ""}
    assert twice(sources) == {"Edge": ["a.py", "b.py"]}

"""Modules have at most 300 lines, and functions at most 50."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
MAX_MODULE, MAX_FUNCTION = 300, 50
MODULES = sorted(
    file
    for package in ("geometry", "adapters", "service")
    for file in (ROOT / package).rglob("*.py")
)


def too_long(name: str, text: str) -> Iterator[str]:
    """Yield what is too long in a module; a function's docstring counts."""
    lines = len(text.splitlines())
    if lines > MAX_MODULE:
        yield f"{name} has {lines} lines"
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            assert node.end_lineno is not None
            count = node.end_lineno - node.lineno + 1
            if count > MAX_FUNCTION:
                yield f"{node.name} in {name} has {count} lines"


def test_modules_and_functions_are_short() -> None:
    assert len(MODULES) > 300
    found = [
        each
        for file in MODULES
        for each in too_long(str(file.relative_to(ROOT)), file.read_text(encoding="utf-8"))
    ]
    assert found == []


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("a = 1\n" * 300, []),
        ("a = 1\n" * 301, ["m has 301 lines"]),
        ("def f():\n" + "    a = 1\n" * 49, []),
        ("def f():\n" + "    a = 1\n" * 50, ["f in m has 51 lines"]),
        ("class A:\n    async def g(self):\n" + "        a = 1\n" * 50, ["g in m has 51 lines"]),
    ],
)
def test_the_check_finds_what_is_too_long(text: str, found: list[str]) -> None:
    assert list(too_long("m", text)) == found

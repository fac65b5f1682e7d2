"""Docstrings say what their code has: parameters by name, and what public functions raise."""

from __future__ import annotations

import ast
import builtins
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("geometry", "adapters", "service")
Function = ast.FunctionDef | ast.AsyncFunctionDef
#: Raised for what a caller cannot help: a defect of ours, or a method that has to be overridden.
DEFECTS = {"InternalError", "NotImplementedError", "AssertionError", "AttributeError"}


def functions(folder: Path) -> Iterator[tuple[str, Function]]:
    """Yield functions, and methods of public classes, with their places."""
    for path in sorted(folder.rglob("*.py")):
        for node in _inside(ast.parse(path.read_text())):
            yield f"{path.relative_to(folder.parent)}:{node.name}", node


def _inside(node: ast.Module | ast.ClassDef) -> Iterator[Function]:
    for each in node.body:
        if isinstance(each, Function):
            yield each
        elif isinstance(each, ast.ClassDef) and not each.name.startswith("_"):
            yield from _inside(each)


def section(function: Function, name: str) -> str | None:
    found = re.search(
        rf"^{name}:\n((?:    .*(?:\n|\Z)|\n)+)", ast.get_docstring(function) or "", re.MULTILINE
    )
    return None if found is None else found[1]


def parameters(function: Function) -> list[str]:
    stated = function.args
    named = [*stated.posonlyargs, *stated.args]
    rest = [stated.vararg] if stated.vararg else []
    more = [stated.kwarg] if stated.kwarg else []
    names = [each.arg for each in (*named, *rest, *stated.kwonlyargs, *more)]
    return [name for name in names if name not in {"self", "cls"}]


def raised(function: Function) -> set[str]:
    """Return the names of the errors that a function raises itself, and does not catch."""
    found: set[str] = set()
    todo: list[ast.AST] = list(function.body)
    while todo:
        node = todo.pop()
        if isinstance(node, (*Function.__args__, ast.Lambda, ast.ClassDef)):
            continue
        if isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call):
            name = ast.unparse(node.exc.func).rpartition(".")[2]
            found |= {name} if name[:1].isupper() else set()
        todo.extend(ast.iter_child_nodes(node))
    return found - DEFECTS


def bases() -> dict[str, set[str]]:
    """Return the names of each class's direct bases."""
    found: dict[str, set[str]] = {}
    for package in PACKAGES:
        for path in (ROOT / package).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text())):
                if isinstance(node, ast.ClassDef):
                    names = {ast.unparse(each).rpartition(".")[2] for each in node.bases}
                    found.setdefault(node.name, set()).update(names)
    return found


def kinds(name: str, known: dict[str, set[str]]) -> set[str]:
    """Return an error's name and those of the errors that it is one of."""
    builtin = getattr(builtins, name, None)
    if isinstance(builtin, type):
        return {each.__name__ for each in builtin.__mro__} - {"Exception", "BaseException"}
    return {name}.union(*(kinds(each, known) for each in known.get(name, ())))


def is_view(function: Function) -> bool:
    """Return whether the document states its problems: its docstring is a text of the API."""
    return any(ast.unparse(each).startswith("op(") for each in function.decorator_list)


@pytest.mark.parametrize("package", PACKAGES)
def test_the_parameters_that_a_docstring_lists_are_those_of_the_function(package: str) -> None:
    wrong = []
    seen = 0
    for where, function in functions(ROOT / package):
        stated = section(function, "Args")
        if stated is None:
            continue
        seen += 1
        names = re.findall(r"^    \**(\w+):", stated, re.MULTILINE)
        if names != parameters(function):
            wrong.append((where, names, parameters(function)))
    assert seen > 5
    assert wrong == []


@pytest.mark.parametrize("package", PACKAGES)
def test_a_public_function_says_what_it_raises(package: str) -> None:
    silent, known = [], bases()
    for where, function in functions(ROOT / package):
        if function.name.startswith("_") or is_view(function):
            continue
        stated = set(re.findall(r"\w+", section(function, "Raises") or ""))
        missing = {name for name in raised(function) if not kinds(name, known) & stated}
        if missing:
            silent.append((where, sorted(missing)))
    assert silent == []


def test_a_docstring_that_lies_is_found() -> None:
    (function,) = ast.parse(
        'def f(a, *, b):\n    """Do.\n\n    Args:\n        a: one.\n    """'
    ).body
    assert isinstance(function, ast.FunctionDef)
    assert re.findall(r"^    \**(\w+):", section(function, "Args") or "", re.MULTILINE) == ["a"]
    assert parameters(function) == ["a", "b"]
    (function,) = ast.parse("def f():\n    raise ValueError('x')").body
    assert isinstance(function, ast.FunctionDef)
    assert raised(function) == {"ValueError"}

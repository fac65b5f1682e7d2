"""Every module is run by some test: imported by one, below one that is, or loaded by its name.

How much of each module runs is measured by ``.ci/coverage``.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

import grimp

from adapters.registry import BUILT_IN
from service.cli import COMMANDS
from service.tools import KINDS

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("geometry", "adapters", "service")


def imported_by(trees: Iterable[ast.Module]) -> Iterator[str]:
    """Yield the modules that tests import; names in modules as well, since they may be modules."""
    for node in (node for tree in trees for node in ast.walk(tree)):
        if isinstance(node, ast.Import):
            yield from (each.name for each in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{each.name}" for each in node.names)


def command_words(given: Sequence[ast.expr]) -> Iterator[ast.Constant]:
    """Yield a command's name from ``[name, ...]`` or ``[python, "-m", "service", name, ...]``."""
    for at, each in enumerate(given):
        before = given[at - 1] if at else None
        is_after = isinstance(before, ast.Constant) and before.value == "service"
        if isinstance(each, ast.Constant) and (not at or is_after):
            yield each


def loaded_by_name(trees: Iterable[ast.Module]) -> Iterator[str]:
    """Yield modules that no code imports: formats, tools, commands that tests name, migrations."""
    yield from BUILT_IN.values()
    # By the names of the tools.
    yield from (type(each).__module__ for each in KINDS)
    words = {
        each.value
        for tree in trees
        for node in ast.walk(tree)
        if isinstance(node, ast.List | ast.Tuple)
        for each in command_words(node.elts)
    }
    yield from (f"service.cli.{each.module}" for name, each in COMMANDS.items() if name in words)
    # Run by `python -m service`, and by Alembic whenever a test opens a store.
    yield "service.__main__"
    migrations = ROOT / "service" / "storage" / "migrations"
    yield "service.storage.migrations.env"
    yield from (
        f"service.storage.migrations.versions.{file.stem}"
        for file in (migrations / "versions").glob("v*.py")
    )


def reached(starts: Iterable[str], imports: Mapping[str, set[str]]) -> set[str]:
    """Return the modules that are imported when others are, these included."""
    found: set[str] = set()
    rest = [each for each in starts if each in imports]
    while rest:
        module = rest.pop()
        if module in found:
            continue
        found.add(module)
        parent = module.rpartition(".")[0]
        rest += [*imports[module], *([parent] if parent else [])]
    return found


def test_every_module_is_reached() -> None:
    graph = grimp.build_graph(*PACKAGES, cache_dir=None)
    imports = {each: graph.find_modules_directly_imported_by(each) for each in graph.modules}
    assert len(imports) > 600
    # Not parsed on import, which every process of a run does.
    files = (ROOT / "tests").rglob("*.py")
    tests = [ast.parse(file.read_text(encoding="utf-8")) for file in files]
    starts = {*imported_by(tests), *loaded_by_name(tests)}
    assert sorted(set(imports) - reached(starts, imports)) == []


def test_a_module_that_no_test_runs_is_found() -> None:
    imports = {"a": {"a.b"}, "a.b": set(), "a.c": {"a.d"}, "a.d": {"a.b"}, "a.e.f": set()}
    imports["a.e"] = set()
    assert reached({"a.c", "math"}, imports) == {"a", "a.b", "a.c", "a.d"}
    assert reached({"a.e.f"}, imports) == {"a", "a.b", "a.e", "a.e.f"}
    text = "import a.b\nfrom a import c\nmain(['keys', 'add'])\n['-m', 'serve']\n"
    tree = ast.parse(f"{text}run([python, '-m', 'service', 'check'])")
    assert set(imported_by([tree])) == {"a.b", "a", "a.c"}
    commands = {each for each in loaded_by_name([tree]) if each.startswith("service.cli")}
    assert commands == {"service.cli.keys", "service.cli.check"}

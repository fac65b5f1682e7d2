"""Plain English in comments, docstrings, messages and guides; docstrings with their sections."""

from __future__ import annotations

import ast
import functools
import io
import re
import tokenize
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("geometry", "adapters", "service")
TEXTS = (
    "README.md", "DEVELOPERS.md", "CHANGELOG.md", "openapi/OPERATIONS.md", "openapi/SECURITY.md",
    "openapi/CALLBACKS.md", "openapi/CAPACITY.md", "openapi/STABILITY.md", "openapi/problems.md",
    "docker/Dockerfile",
    "docker/compose.yaml", "docker/compose.scale.yaml", "docker/proxy.conf", "docker/smoke.sh",
    "docker/scale_smoke.sh", "docker/move_smoke.sh", "docker/smoke_lib.sh",
)  # fmt: skip
#: Archaic or headless phrases, and what to write instead.
PHRASES = {
    r"tell whether": "return whether",
    r"told": "stated, reported, or the name of the thing",
    r"tells? of": "describe, report",
    r"reckon\w*": "calculate",
    r"heed\w*": "use, observe",
    r"hand(s|ed|ing)? (back|on(?! square))": "return, pass on",
    r"anew": "again",
    r"meanwhile": "in the meantime, at the same time",
    r"at the (most|least)": "at most, at least; maximum, minimum",
    r"whoever": "the operator, a worker, a caller",
    r"of which no": "a plain clause",
    r"smells?": "suggests",
    r"it lives": "the process answers",
    r"settled?": "decide, complete",
    r"whatever (did|goes wrong)": "the thing itself",
    r"(taken|took|takes) for dead": "considered dead",
    r"\d+ (to the|an?) (inch|millimetre|minute|second|hour|page|load)": "per",
    r"(requests?|bytes|number|value|kicks|force|one|heading|mark|line) a "
    r"(minute|second|day|hour|load|vertex|kit|caller|station)": "per",
    r"how-manieth": "position",
    r"gives? way to": "is replaced by",
    r"as good as it gets": "a plain clause",
}
_PATTERN = re.compile("|".join(rf"\b(?:{phrase})\b" for phrase in PHRASES), re.IGNORECASE)
#: Names in quotes, and fields of formatted strings: code, not prose.
_NAMES = re.compile(r"""["']\w+(, ?\w+)*["']""")
_FIELD = re.compile(r"\{[^{}]*\}")
#: First words of docstrings that are not in the imperative.
_DECLARATIVE = re.compile(
    r"^(Tell|Says|Returns|Gives|Takes|Makes|Checks|Reads|Writes|Draws|Yields|Whether|How|What|Where"
    r"|Which|Told|Asked)\b"
)


def sources() -> list[Path]:
    """Return the modules whose prose is checked: all but this one, which names the phrases."""
    found = [file for name in (*PACKAGES, "tests") for file in sorted((ROOT / name).rglob("*.py"))]
    return [file for file in found if file != Path(__file__).resolve()]


def prose_of(text: str) -> Iterator[tuple[int, str]]:
    """Yield the comments and string literals of a module with their lines."""
    strings = {tokenize.STRING, getattr(tokenize, "FSTRING_MIDDLE", tokenize.STRING)}
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type == tokenize.COMMENT or token.type in strings:
            if _NAMES.fullmatch(token.string):
                continue
            text = _FIELD.sub("X", token.string) if token.type in strings else token.string
            yield token.start[0], " ".join(text.replace("#:", " ").split())


def phrases_in(text: str) -> list[str]:
    """Return the phrases of the list that a text contains."""
    return [found.group(0) for found in _PATTERN.finditer(text)]


@pytest.mark.parametrize("package", [*PACKAGES, "tests"])
def test_modules_are_written_in_plain_english(package: str) -> None:
    found = [
        f"{file.relative_to(ROOT)}:{line}: {phrase}"
        for file in sources()
        if file.is_relative_to(ROOT / package)
        for line, text in prose_of(file.read_text(encoding="utf-8"))
        for phrase in phrases_in(text)
    ]
    assert found == []


@pytest.mark.parametrize("name", TEXTS)
def test_guides_are_written_in_plain_english(name: str) -> None:
    text = re.sub("`[^`]*`", "CODE", (ROOT / name).read_text(encoding="utf-8"))
    assert phrases_in(" ".join(text.split())) == []


@pytest.mark.parametrize(
    "text",
    ["Tell whether a ring is simple.", "of what it was told", "Reckon it anew", "at the most",
     "6 to the inch", "requests a minute that one caller may make", "it hands back a file"],
)  # fmt: skip
def test_the_list_finds_what_it_names(text: str) -> None:
    assert phrases_in(text) != []


def test_plain_english_passes() -> None:
    assert phrases_in("Return whether a ring is simple. At most 6 per inch, in the meantime.") == []


Documented = ast.ClassDef | ast.FunctionDef


def public(path: Path) -> Iterator[tuple[str, Documented]]:
    """Yield the public classes, functions and methods of a module."""
    if any(part.startswith("_") and part != "__init__.py" for part in path.parts):
        return
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in tree.body:
        if isinstance(node, ast.ClassDef | ast.FunctionDef) and not node.name.startswith("_"):
            yield node.name, node
            for inner in node.body if isinstance(node, ast.ClassDef) else ():
                if isinstance(inner, ast.FunctionDef) and not inner.name.startswith("_"):
                    yield f"{node.name}.{inner.name}", inner


def _raised(node: ast.FunctionDef) -> set[str]:
    """Return the errors of our own that a function raises itself, by name."""
    found = set()
    for inner in ast.walk(node):
        if isinstance(inner, ast.Raise) and inner.exc is not None:
            error = inner.exc.func if isinstance(inner.exc, ast.Call) else inner.exc
            if isinstance(error, ast.Name) and error.id.endswith("Error"):
                found.add(error.id)
    return found & our_errors()


def _is_operation(node: ast.FunctionDef) -> bool:
    """Return whether ``op(problems=...)`` documents a view's errors; its text is the API's."""
    calls = [each.func for each in node.decorator_list if isinstance(each, ast.Call)]
    return any(isinstance(call, ast.Name) and call.id == "op" for call in calls)


@functools.cache
def our_errors() -> set[str]:
    """Return the names of our errors; not found on import, which every process of a run does."""
    found = {"GeometryError"}
    for package in PACKAGES:
        for file in (ROOT / package).rglob("*.py"):
            tree = ast.parse(file.read_text(encoding="utf-8"))
            classes = [node for node in ast.walk(tree) if isinstance(node, ast.ClassDef)]
            found |= {node.name for node in classes if node.name.endswith("Error")}
    # A bug of ours is no part of what a function promises.
    return found - {"InternalError"}


def faults_of(name: str, node: Documented) -> list[str]:
    """Return what a public docstring lacks."""
    text = ast.get_docstring(node)
    if text is None:
        return [f"{name} has no docstring"]
    first = text.splitlines()[0]
    found = [] if first.endswith(".") else [f"{name}: the first line is no sentence: {first}"]
    if isinstance(node, ast.FunctionDef):
        if _DECLARATIVE.match(first):
            found.append(f"{name}: not in the imperative: {first}")
        if _raised(node) and not _is_operation(node) and "Raises:" not in text:
            found.append(f"{name}: raises {', '.join(sorted(_raised(node)))} without Raises:")
    return found


@pytest.mark.parametrize("package", PACKAGES)
def test_public_docstrings_have_their_sections(package: str) -> None:
    found = [
        f"{file.relative_to(ROOT)}: {fault}"
        for file in sorted((ROOT / package).rglob("*.py"))
        for name, node in public(file)
        for fault in faults_of(name, node)
    ]
    assert found == []


def test_a_docstring_that_lacks_something_is_found() -> None:
    source = (
        "def bare(): pass\n"
        'def headless():\n    """Whether it is so."""\n'
        'def silent():\n    """Return it."""\n    raise GeometryError("no")\n'
        'class Loose:\n    """no sentence"""\n'
    )
    nodes = ast.parse(source).body
    faults = [faults_of(node.name, node) for node in nodes if isinstance(node, Documented)]
    assert [len(each) for each in faults] == [1, 1, 1, 1]

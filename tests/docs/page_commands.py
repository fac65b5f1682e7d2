"""The commands of the guides, found by a script: blocks, fences, and code in sentences.

python -m tests.docs.page_commands        lists them by guide
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
GUIDES = ("README.md", "openapi/OPERATIONS.md", "openapi/SECURITY.md", "openapi/CALLBACKS.md")
#: First words of what people type.
_PROGRAMS = (
    "python", "python3", "docker", "docker/", "kubectl", "openssl", "echo", "pg_dump", "pg_restore",
    "tar", "mkdir", "curl", "key=", "keys", "COMPOSE_FILE=", "QUARTERSEAM_", ".venv/bin/python",
)  # fmt: skip
_INLINE = re.compile(r"(?<!`)`([^`\n]+)`(?!`)")
#: Documents, JSON and settings of compose files: nothing to type.
_OTHER_FENCES = {"json", "yaml", "python"}


def text_of(guide: str) -> str:
    """Return a guide's text."""
    return (ROOT / guide).read_text(encoding="utf-8")


def blocks(guide: str) -> Iterator[tuple[str, list[str]]]:
    """Yield the lines of each block of commands, with the line of text before it."""
    before, fence = "", ""
    found: list[str] = []
    for line in [*text_of(guide).splitlines(), "end"]:
        if line.startswith("```"):
            if fence and found:
                yield before, found
            found, fence = [], "" if fence else line[3:] or "text"
        elif fence:
            if fence not in _OTHER_FENCES:
                found.append(line)
        elif line.startswith("    ") and line.strip():
            found.append(line[4:])
        elif line:
            if found:
                yield before, found
                found = []
            before = line


def in_blocks(guide: str) -> list[str]:
    """Return the commands of a guide's blocks, each on one line."""
    return [each for _, lines in blocks(guide) for each in joined(lines)]


def joined(lines: list[str]) -> list[str]:
    """Return the commands of some lines: one that goes on in the next line is one."""
    text = re.sub(r"\\\n\s*", "", "\n".join(lines))
    return [re.sub(r"\s{2,}#.*", "", each).strip() for each in text.splitlines() if each.strip()]


def in_sentences(guide: str) -> list[str]:
    """Return the commands that stand in a guide's sentences."""
    prose = re.sub(r"^```.*?^```$", "", text_of(guide), flags=re.MULTILINE | re.DOTALL)
    flat = re.sub(r"(?<=\S)\n(?=\S)", " ", re.sub(r"^    .*$", "", prose, flags=re.MULTILINE))
    return [
        code for code in _INLINE.findall(flat)
        if code.startswith(_PROGRAMS) and (" " in code or code.startswith("docker/up"))
        and not code.endswith(".yaml")
    ]  # fmt: skip


def read_by(script: str) -> set[str]:
    """Return the commands of OPERATIONS.md that a script reads from the page and runs.

    A script reads what is below a sentence by its functions `page` and `run_page`.
    """
    source = text_of(script)
    counted = re.findall(r'run_page (\d+) "([^"]+)"', source)
    sentences = {sentence for _, sentence in counted} | set(re.findall(r'page "([^"$]+)"', source))
    sentences |= set(re.findall(r"awk '/\^([^/]+)/", source))
    numbers = {sentence: int(number) for number, sentence in counted}
    found: set[str] = set()
    for sentence in sentences:
        for number, line in enumerate(page_below(sentence)):
            found.update(joined(line))
            assert number == 0, f"two blocks below {sentence}"
            if sentence in numbers:
                assert len(line) == numbers[sentence], (script, sentence)
    return found


def page_below(sentence: str) -> list[list[str]]:
    """Return the block of OPERATIONS.md whose text before it begins with, or is below, a line."""
    lines = text_of("openapi/OPERATIONS.md").splitlines()
    starts = [number for number, line in enumerate(lines) if line.startswith(sentence)]
    assert len(starts) == 1, f"{len(starts)} lines begin with: {sentence}"
    found: list[str] = []
    for line in lines[starts[0] + 1 :]:
        if line.startswith("    "):
            found.append(line[4:])
        elif line and found:
            break
    return [found] if found else []


if __name__ == "__main__":
    for name in GUIDES:
        print(f"{name}:")
        for command in dict.fromkeys([*in_blocks(name), *in_sentences(name)]):
            print(f"    {command}")

"""Style sheets of an SVG, as far as they change what is drawn and where.

Source:
    W3C, "Cascading Style Sheets Level 2 Revision 1", 2011: chapters 5 (selectors) and 6.4 (the
    cascade). Attributes count less than any rule, an element's own style more.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from service.drawings.drawing import DrawingError

SVG = "{http://www.w3.org/2000/svg}"
#: Properties that an attribute may state as well.
_ATTRIBUTES = {
    "display", "visibility", "opacity", "fill", "stroke", "stroke-width", "fill-opacity",
    "stroke-opacity", "transform-origin", "transform-box", "clip-path", "mask",
}  # fmt: skip
#: Properties that would move or change a shape, and that this reader does not apply in a style.
_UNREAD = {
    "d", "x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "translate", "rotate", "scale",
    "offset", "offset-path", "zoom",
}  # fmt: skip
_READ = _ATTRIBUTES | _UNREAD | {"transform"}
#: An element with none of these attributes has no properties of its own.
_STYLED = _ATTRIBUTES | {"style"}
#: Maximum rules that change what is drawn.
_MAX_RULES = 300
_COMPOUND = re.compile(r"(\*|[A-Za-z][\w-]*)?((?:[#.][\w-]+)*)")
_PART = re.compile(r"[#.][\w-]+")
#: Selectors about a pointer, which never match in a drawing.
_OF_POINTERS = re.compile(r":(hover|active|focus|visited|link)\b")
#: At-rules that do not change a drawing.
_HARMLESS = {"@font-face", "@charset", "@namespace", "@keyframes", "@-webkit-keyframes"}


@dataclass(frozen=True)
class _Compound:
    """A selector of one element; ``is_child`` if the one before it is its parent."""

    name: str
    ids: frozenset[str]
    classes: frozenset[str]
    is_child: bool

    def matches(self, element: Element) -> bool:
        """Return whether an element has this name, id and these classes."""
        return (
            self.name in {"", "*", str(element.tag).removeprefix(SVG)}
            and self.ids <= {element.get("id") or ""}
            and self.classes <= set((element.get("class") or "").split())
        )


@dataclass(frozen=True)
class _Rule:
    chain: tuple[_Compound, ...]
    weight: tuple[int, int, int, int]
    declarations: Mapping[str, tuple[str, bool]]


def declarations(text: str) -> dict[str, tuple[str, bool]]:
    """Return the properties of a style with their values and whether they are important."""
    found: dict[str, tuple[str, bool]] = {}
    for each in text.split(";"):
        key, colon, value = each.partition(":")
        name, value = key.strip().lower(), value.strip()
        if not colon or name not in _READ:
            continue
        plain, bang, word = value.rpartition("!")
        is_important = bool(bang) and word.strip().lower() == "important"
        if name in found and found[name][1] and not is_important:
            continue
        found[name] = (plain.strip() if is_important else value, is_important)
    return found


class Styles:
    """The rules of a document's style sheets, and the styles of its elements."""

    def __init__(self, root: Element) -> None:
        self._parents = {child: parent for parent in root.iter() for child in parent}
        self._rules: list[_Rule] = []
        for sheet in root.iter(f"{SVG}style"):
            if (sheet.get("media") or "all").strip() in {"all", "screen"}:
                self._add(_without_comments("".join(sheet.itertext())))

    def _add(self, text: str) -> None:
        for selector, body in _blocks(text):
            found = declarations(body)
            if not found or _OF_POINTERS.search(selector):
                continue
            if selector.startswith("@"):
                raise DrawingError(
                    f"The style rule {selector[:40]!r} cannot be applied; write plain rules."
                )
            for each in selector.split(","):
                chain = _chain(each)
                ids = sum(len(part.ids) for part in chain)
                classes = sum(len(part.classes) for part in chain)
                names = sum(part.name not in {"", "*"} for part in chain)
                weight = (ids, classes, names, len(self._rules))
                self._rules.append(_Rule(chain, weight, found))
            if len(self._rules) > _MAX_RULES:
                raise DrawingError(f"A drawing has at most {_MAX_RULES} style rules.")

    def of(self, element: Element) -> dict[str, str]:
        """Return the properties of an element that change what is drawn, without inherited ones.

        Raises:
            DrawingError: for a property that is not read.
        """
        if not self._rules and _STYLED.isdisjoint(element.keys()):
            return {}
        found = {
            name: value.strip() for name in _ATTRIBUTES if (value := element.get(name)) is not None
        }
        rules = sorted(
            (rule for rule in self._rules if self._matches(rule.chain, element)),
            key=lambda rule: rule.weight,
        )
        stated = [rule.declarations for rule in rules]
        stated.append(declarations(element.get("style") or ""))
        for importance in (False, True):
            for each in stated:
                found.update({n: v for n, (v, bang) in each.items() if bang is importance})
        unread = sorted(name for name in found if name in _UNREAD and found[name] != "none")
        if unread:
            raise DrawingError(
                f"The style sets {unread[0]}, which is not read; write it as an attribute."
            )
        return found

    def _matches(self, chain: tuple[_Compound, ...], element: Element) -> bool:
        """Return whether an element and those around it match a selector, from its end."""
        if not chain[-1].matches(element):
            return False
        around = self._parents.get(element)
        for index in range(len(chain) - 2, -1, -1):
            while around is not None and not chain[index].matches(around):
                around = None if chain[index + 1].is_child else self._parents.get(around)
            if around is None:
                return False
            around = self._parents.get(around)
        return True


def _without_comments(text: str) -> str:
    parts = text.split("/*")
    return parts[0] + "".join(part.partition("*/")[2] for part in parts[1:])


def _blocks(text: str) -> Iterator[tuple[str, str]]:
    """Yield selectors and the text between their braces, nested rules included."""
    at = 0
    while (start := text.find("{", at)) >= 0:
        *statements, selector = text[at:start].split(";")
        _refuse_imports(statements)
        depth, end = 1, start + 1
        while end < len(text) and depth:
            depth += {"{": 1, "}": -1}.get(text[end], 0)
            end += 1
        if depth:
            raise DrawingError("A style sheet has a brace that does not close.")
        selector = selector.strip()
        body = text[start + 1 : end - 1]
        if selector.split(None, 1)[:1] == [] or selector.split()[0].lower() not in _HARMLESS:
            # Properties of nested rules count as those of the outer rule, and are refused with it.
            yield selector, body.replace("{", ";").replace("}", ";")
        at = end
    _refuse_imports(text[at:].split(";"))


def _refuse_imports(statements: list[str]) -> None:
    if any(each.strip().lower().startswith("@import") for each in statements):
        raise DrawingError("The style sheet imports another; put its rules in the file.")


def _chain(selector: str) -> tuple[_Compound, ...]:
    """Return the compounds of a selector."""
    found: list[_Compound] = []
    is_child = False
    for word in selector.replace(">", " > ").split():
        if word == ">":
            is_child = True
            continue
        word = "svg" if word == ":root" else word  # noqa: PLW2901 - the same element
        match = _COMPOUND.fullmatch(word)
        if match is None:
            break
        parts = _PART.findall(match[2])
        found.append(
            _Compound(
                match[1] or "",
                frozenset(part[1:] for part in parts if part[0] == "#"),
                frozenset(part[1:] for part in parts if part[0] == "."),
                is_child,
            )
        )
        is_child = False
    else:
        if found and not is_child:
            return tuple(found)
    raise DrawingError(
        f"The selector {selector.strip()[:40]!r} of a style rule cannot be applied; select by "
        "element, class or id."
    )

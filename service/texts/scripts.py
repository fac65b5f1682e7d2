"""The texts that JavaScript modules look up: ``t("text")`` and ``tn("one", "several", n)``."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Final

_STRING: Final = r'("(?:[^"\\\n]|\\.)*")'
_ONE: Final = re.compile(rf"\bt\(\s*{_STRING}")
_MANY: Final = re.compile(rf"\btn\(\s*{_STRING},\s*{_STRING}")


def messages_of_script(source: str) -> Iterator[tuple[str, str]]:
    """Yield each text of a module and its form for several, which is empty where it has none."""
    for found in _ONE.finditer(source):
        yield json.loads(found[1]), ""
    for found in _MANY.finditer(source):
        yield json.loads(found[1]), json.loads(found[2])

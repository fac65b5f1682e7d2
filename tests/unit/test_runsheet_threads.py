"""Run sheets typeset in several threads of a process that has typeset none before."""

from __future__ import annotations

import subprocess
import sys

FIRST = """
import service.documents.pdf
from reportlab.lib import colors

# What is looked up from here on is there already: nothing is left to fill in.
colors.__dict__["black"] = None
assert colors.toColor("black").hexval() == "0x000000"
"""


def test_the_table_of_colours_is_full_before_there_are_threads() -> None:
    subprocess.run([sys.executable, "-c", FIRST], check=True, timeout=300)

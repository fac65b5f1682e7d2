"""The files of the one font of what is printed; README.md says where they come from."""

from pathlib import Path

_HERE = Path(__file__).parent
REGULAR_FILE = _HERE / "DejaVuSansCondensed.ttf"
BOLD_FILE = _HERE / "DejaVuSansCondensed-Bold.ttf"
#: The family that both belong to, as pictures ask for it.
FAMILY = "DejaVu Sans"

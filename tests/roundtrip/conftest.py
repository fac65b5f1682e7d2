"""Makes this folder's own modules importable by its tests."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

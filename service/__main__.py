"""``python -m service``."""

from __future__ import annotations

import sys

from service.cli import main

if __name__ == "__main__":
    sys.exit(main())

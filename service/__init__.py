"""The HTTP service and the command line; the only code with Flask, disks, clocks, environment."""

from __future__ import annotations

__version__ = "0.2.0"

"""The sandbox: computations run in child processes with limits, all but simple outlines."""

from __future__ import annotations

from service.sandbox.run import compute, is_here

__all__ = ["compute", "is_here"]

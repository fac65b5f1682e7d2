"""The sandbox: small computations run in place, heavy ones in child processes with limits."""

from __future__ import annotations

from service.sandbox.run import compute, is_here

__all__ = ["compute", "is_here"]

"""Computations of bounded cost: small ones here and now, heavy ones in children that can die."""

from __future__ import annotations

from service.sandbox.run import compute, is_here

__all__ = ["compute", "is_here"]

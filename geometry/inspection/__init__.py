"""Inspection of a drawing: sizes, kinds, groups, allowances, and likely mistakes."""

from __future__ import annotations

from geometry.inspection.findings import Inspection, Measured, inspect
from geometry.inspection.work import Work

__all__ = ["Inspection", "Measured", "Work", "inspect"]

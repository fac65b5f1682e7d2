"""Inspection of a drawing: sizes, kinds, groups, allowances, and likely mistakes."""

from __future__ import annotations

from geometry.inspection.findings import Inspection, MeasuredOutline, inspect
from geometry.inspection.work import StepBudget

__all__ = ["Inspection", "MeasuredOutline", "StepBudget", "inspect"]

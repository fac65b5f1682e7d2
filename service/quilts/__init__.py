"""Quilt plans, yardage and finishing, from requests to answers."""

from service.quilts.cutting_sheet import plan_sheet, sheet_bytes, yardage_sheet
from service.quilts.finishing import finishing
from service.quilts.plan import quilt_plan
from service.quilts.yardage import yardage

__all__ = ["finishing", "plan_sheet", "quilt_plan", "sheet_bytes", "yardage", "yardage_sheet"]

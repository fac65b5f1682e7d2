"""Quilt plans, yardage and finishing, from requests to answers."""

from service.quilts.finishing import finishing
from service.quilts.plan import quilt_plan
from service.quilts.yardage import yardage

__all__ = ["finishing", "quilt_plan", "yardage"]

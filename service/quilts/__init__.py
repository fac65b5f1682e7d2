"""Quilt plans, yardage and finishing, from requests to answers."""

from service.quilts.fabric import yardage
from service.quilts.finishing import finishing
from service.quilts.plan import quilt_plan

__all__ = ["finishing", "quilt_plan", "yardage"]

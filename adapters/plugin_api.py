"""All that a plug-in imports: the contract, the plan, and what helps to write and read files.

Names that are not listed here are internal and may change; these change only with ``CONTRACT``.
``adapters/API.md`` is generated from their docstrings. The conformance kit is a module of its own,
``adapters.conformance``, because it needs pytest.
"""

from __future__ import annotations

from adapters.contract import (
    CONTRACT,
    MAX_RESOLUTION,
    Adapter,
    Kept,
    Setting,
    Written,
    resolved,
)
from adapters.errors import AdapterError, CannotHoldError, SettingError
from adapters.names import layer_of, of_layer
from adapters.numbers import number, require_finite
from adapters.readers.strokes import ReadSegment, ReadStroke, straight
from adapters.sample import sample_plan
from adapters.split import chords, short_arcs
from geometry.model.cutter import WorkArea
from geometry.model.outline import Operation, Vertex
from geometry.model.plan import CutPlan, Stop, Stroke
from geometry.model.points import Point
from geometry.model.segments import Arc, Line, Segment

__all__ = [
    "CONTRACT",
    "MAX_RESOLUTION",
    "Adapter",
    "AdapterError",
    "Arc",
    "CannotHoldError",
    "CutPlan",
    "Kept",
    "Line",
    "Operation",
    "Point",
    "ReadSegment",
    "ReadStroke",
    "Segment",
    "Setting",
    "SettingError",
    "Stop",
    "Stroke",
    "Vertex",
    "WorkArea",
    "Written",
    "chords",
    "layer_of",
    "number",
    "of_layer",
    "require_finite",
    "resolved",
    "sample_plan",
    "short_arcs",
    "straight",
]

"""Seeded faults of the readers of drawings, and a pytest plug-in that puts one of them in.

``READER_FAULT=NAME python -m pytest -p tests.foreign.reader_faults ...`` replaces a piece of a
module's source when that is imported; no file changes.
"""

from __future__ import annotations

import importlib.abc
import importlib.machinery
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, ModuleType

ROOT = Path(__file__).resolve().parents[2]
VARIABLE = "READER_FAULT"


@dataclass(frozen=True)
class Fault:
    """A piece of a module's source, what replaces it, and the tests that must catch it."""

    module: str
    right: str
    wrong: str
    tests: str

    @property
    def file(self) -> Path:
        """Return the module's file."""
        return ROOT / (self.module.replace(".", "/") + ".py")

    def source(self) -> str:
        """Return the module's source with the fault."""
        text = self.file.read_text()
        if text.count(self.right) != 1:
            raise ValueError(f"{self.module} has {text.count(self.right)} times {self.right!r}")
        return text.replace(self.right, self.wrong)


def _svg(module: str, right: str, wrong: str) -> Fault:
    return Fault(f"service.drawings.svg.{module}", right, wrong, "test_svg_as_drawn")


def _dxf(module: str, right: str, wrong: str) -> Fault:
    return Fault(f"service.drawings.dxf.{module}", right, wrong, "test_dxf_as_drawn")


def _hpgl(module: str, right: str, wrong: str) -> Fault:
    return Fault(f"service.drawings.hpgl.{module}", right, wrong, "test_hpgl_as_drawn")


def _gcode(right: str, wrong: str) -> Fault:
    return Fault("service.drawings.gcode.machine", right, wrong, "test_gcode_as_drawn")


FAULTS = {
    "rotate about a point, in the wrong order": _svg(
        "transforms",
        "times(times(moved(x, y), matrix), moved(-x, -y))",
        "times(times(moved(-x, -y), matrix), moved(x, y))",
    ),
    "transforms from the left": _svg(
        "transforms",
        "times(matrix, _one(found[1].lower(), found[2], is_css=is_css))",
        "times(_one(found[1].lower(), found[2], is_css=is_css), matrix)",
    ),
    "view box offset added": _svg("page", "* x - box[0] * scale", "* x + box[0] * scale"),
    "page matrix without the height": _svg(
        "page", "-scale, 0.0, height)", "-scale, 0.0, 0.0 * height)"
    ),
    "one scale for both axes of a stretched page": _svg(
        "page", "(sx, 0.0, 0.0, sy, -box[0] * sx", "(sx, 0.0, 0.0, sx, -box[0] * sx"
    ),
    "the larger scale instead of the smaller": _svg(
        "page", 'min(sx, sy) if fit == "meet"', 'max(sx, sy) if fit == "meet"'
    ),
    "the last rule wins": _svg("styles", "lambda rule: rule.weight", "lambda rule: rule.weight[3]"),
    "round corners above half a side": _svg("shapes", "min(corner[0], w / 2.0)", "corner[0]"),
    "extrusion ignored": _dxf(
        "entities", "return -1.0 if extrusion.z < 0.0 else 1.0", "return 1.0"
    ),
    "layer 0 of a block stays layer 0": _dxf(
        "reader", 'layer if block and own == "0" else own', "own"
    ),
    "the form's units win": _dxf(
        "reader", "return own, other_units", "return UNITS_MM[units or 'mm'], other_units"
    ),
    "feet of 12.1 inches": _dxf("reader", "2: 304.8", "2: 307.34"),
    "arcs of the other hand": _hpgl(
        "shapes", "1.0 if sweep_deg > 0.0 else 0.0", "0.0 if sweep_deg > 0.0 else 1.0"
    ),
    "user units without their origin": _hpgl("scaling", "x - left * sx", "x - 0.0 * left"),
    "lists relative to their start": _hpgl(
        "reader",
        "at = at + complex(x, y) if relative",
        "at = self._at + complex(x, y) if relative",
    ),
    "labels drawn": _hpgl("words", 'LABELS = {"LB", "BL", "WD"}', 'LABELS = {"BL", "WD"}'),
    "radii on the other side": _gcode(
        "side = hand * math.copysign(1.0, radius)", "side = -hand * math.copysign(1.0, radius)"
    ),
    "incremental moves absolute": _gcode("now + value * scale if relative", "value * scale if 1"),
    "clockwise for counter-clockwise": _gcode(
        "1.0 if self._motion == 3.0 else -1.0", "-1.0 if self._motion == 3.0 else 1.0"
    ),
    "inches of 25 mm": _gcode("20.0: 25.4", "20.0: 25.0"),
}


class _Loader(importlib.machinery.SourceFileLoader):
    def __init__(self, name: str, fault: Fault) -> None:
        super().__init__(name, str(fault.file))
        self._fault = fault

    def get_code(self, fullname: str) -> CodeType:
        """Return the code with the fault; nothing is cached."""
        del fullname
        return compile(self._fault.source(), str(self._fault.file), "exec", dont_inherit=True)


class _Finder(importlib.abc.MetaPathFinder):
    def __init__(self, fault: Fault) -> None:
        self._fault = fault

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        """Return the module with the fault."""
        if fullname != self._fault.module:
            return None
        return importlib.machinery.ModuleSpec(
            fullname, _Loader(fullname, self._fault), origin=str(self._fault.file)
        )


if VARIABLE in os.environ:
    _named = FAULTS[os.environ[VARIABLE]]
    if _named.module in sys.modules:
        raise RuntimeError(f"{_named.module} was imported before its fault was put in")
    sys.meta_path.insert(0, _Finder(_named))

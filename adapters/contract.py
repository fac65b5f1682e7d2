"""The adapter protocol, shared by built-in formats and plug-ins."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, Protocol, TypeAlias, runtime_checkable

from adapters.errors import SettingError
from geometry.model.plan import CutPlan
from geometry.sentences import number_of

#: Version of this contract; a plug-in states the one that it implements.
CONTRACT = 2

#: Largest resolution of a format, mm: a coarser file is no use for cutting.
MAX_RESOLUTION = 0.5

#: Units at the end of a setting's name.
_UNITS = {"_mm_min": "mm/min", "_cm_s": "cm/s", "_mm_s": "mm/s", "_mm": "mm", "_deg": "degrees"}
#: Maximum number of characters of a text without a maximum of its own.
_LONGEST_TEXT = 80
_LAYER = re.compile("(cut|score|mark)(-[0-9a-z]+deg)?|nick|bridge")
#: Parts of a plan that a format can hold.
Kept: TypeAlias = Literal["arcs", "operations", "stations", "stops", "pieces", "order"]


@dataclass(frozen=True)
class Setting:
    """A setting of a format for a machine.

    ``type`` says what a cutter may state: a ``number`` from ``minimum`` to ``maximum`` (or, with
    ``choices``, one of these numbers: ``choices=("2", "3", "4")`` allows 2, 3 and 4), a ``choice``
    (a text of ``choices``), a ``text`` (on one line, of at most ``maximum`` characters, 80 where
    that is left out), a ``flag`` (true or false), or a mapping from layers such as ``cut``,
    ``cut-45deg``, ``score`` and ``mark``: ``pens`` and ``colour numbers`` to whole numbers,
    ``colours`` to texts such as ``#ff0000``, ``widths`` to numbers; ``minimum`` and ``maximum``
    bound these numbers, too (:func:`of_layer` looks a stroke up in one). A length is a ``number``
    whose name ends in ``_mm``. A setting that is not stated has its ``default``; if it is
    ``required``, it must be stated.

    ``only_with`` names another setting and a value: this setting may be stated only where the
    other has that value, stated or by default. For example, a laser's power is refused for a knife
    instead of ignored. (``resolved`` returns the ``default`` all the same.) ``title`` is a heading
    for forms; left out, it is made from the name.
    """

    name: str
    type: Literal["number", "choice", "text", "flag", "pens", "colours", "colour numbers", "widths"]
    description: str
    default: Any = None
    choices: tuple[str, ...] = ()
    minimum: float = float("-inf")
    maximum: float = float("inf")
    required: bool = False
    only_with: tuple[str, str | bool] | None = None
    title: str = ""

    @property
    def heading(self) -> str:
        """The title, or else the name in words: ``feed_mm_min`` is "feed (mm/min)"."""
        if self.title:
            return self.title
        words, unit = self.name, ""
        for ending, each in _UNITS.items():
            if words.endswith(ending) and not words.endswith(f"_per{ending}"):
                words, unit = words.removesuffix(ending), f" ({each})"
                break
        return words.replace("_", " ") + unit


@dataclass(frozen=True)
class Written:
    """A file's bytes, and sentences about what its format could not hold.

    ``pages`` is the number of printed pages that the plan is drawn on, after a check page, and
    ``bench`` are sentences for the operator, such as how these are joined; only built-in formats
    state them.
    """

    data: bytes
    losses: tuple[str, ...] = field(default=())
    pages: int | None = None
    bench: tuple[str, ...] = ()


@runtime_checkable
class Adapter(Protocol):
    """Writes cut plans in one format.

    ``resolution`` is the deviation from the plan, mm, that read-back allows, up to 0.5. Where
    settings change it, an adapter also has ``resolution_for(settings)``. ``settings`` are always
    those that the cutter states, without defaults: ``resolved`` adds them. ``extension`` has no
    dot.

    ``supports`` names what a file holds: ``arcs`` as arcs, not as chords; ``operations`` (whether
    a stroke is a cut, a score or a mark) and ``stations`` (blade angles); ``stops``; ``pieces``
    (the piece of each stroke); ``order`` (the strokes' order).

    A plug-in should have ``read(data, plan, settings)``, which returns the file's strokes as a list
    of :class:`ReadStroke` on the bed, mm, y up. ``plan`` is what was written, for sizes that the
    file does not state; strokes must come from ``data``. Without it, our reader for the extension
    is used, or the files are marked as not read back.
    """

    contract: int
    name: str
    title: str
    media_type: str
    extension: str
    supports: frozenset[Kept]
    resolution: float
    settings: tuple[Setting, ...]

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
        """Return the plan as a file; the same plan and settings give the same bytes."""
        ...


def resolved(
    specs: tuple[Setting, ...], given: Mapping[str, Any], format_name: str
) -> dict[str, Any]:
    """Return every setting's value, stated or default.

    Raises:
        SettingError: for an unknown, missing or out-of-range setting.
    """
    for fault in setting_faults(specs, given, format_name):
        raise fault
    return {spec.name: given.get(spec.name, spec.default) for spec in specs}


def setting_faults(
    specs: tuple[Setting, ...], given: Mapping[str, Any], format_name: str, *, whole: bool = True
) -> Iterator[SettingError]:
    """Yield the errors of stated settings; with ``whole``, also missing ones."""
    known = {spec.name for spec in specs}
    for name in given:
        if name not in known:
            has = ", ".join(spec.name for spec in specs) or "none"
            detail = f"{format_name} has no setting {name}; it has: {has}."
            yield SettingError(detail, setting=name, format_name=format_name)
    for spec in specs:
        if spec.name in given:
            fault = _fault(spec, given[spec.name]) or _stray(spec, specs, given)
            detail = f"{format_name} setting {spec.name} {fault}" if fault else ""
        elif whole and spec.required:
            detail = (
                f'{format_name} needs {spec.name}: state it under "{format_name}" in the '
                f'cutter\'s "formats"{_among(spec)} ({spec.description}).'
            )
        else:
            detail = ""
        if detail:
            yield SettingError(detail, setting=spec.name, format_name=format_name)


def _among(spec: Setting) -> str:
    """Return the choices of a setting, for a sentence."""
    return f", as {' or '.join(spec.choices)}" if spec.choices else ""


def _stray(spec: Setting, specs: tuple[Setting, ...], given: Mapping[str, Any]) -> str:
    """Return an error if the other setting of ``only_with`` has another value; else empty."""
    if spec.only_with is None:
        return ""
    other, value = spec.only_with
    defaults = {each.name: each.default for each in specs if not each.required}
    # A required setting that is left out is reported itself.
    if given.get(other, defaults.get(other, value)) == value:
        return ""
    shown = str(value).lower() if isinstance(value, bool) else value
    return f"applies only where {other} is {shown}; leave it out."


def _fault(spec: Setting, value: object) -> str:
    if spec.type == "flag":
        return "" if isinstance(value, bool) else "must be true or false."
    if spec.type == "choice":
        return "" if value in spec.choices else f"must be one of {', '.join(spec.choices)}."
    if spec.type == "text":
        return _text_fault(spec, value)
    if spec.type == "pens":
        return _pens_fault(spec, value)
    if spec.type in {"colours", "colour numbers", "widths"}:
        return _layers_fault(spec, value)
    return _number_fault(spec, value)


def _text_fault(spec: Setting, value: object) -> str:
    most = spec.maximum if math.isfinite(spec.maximum) else _LONGEST_TEXT
    if not isinstance(value, str):
        return "must be a text."
    if not value.isprintable():
        return "must be on one line, without control characters."
    if len(value) > most:
        return f"must have at most {number_of(most, 'character')}; it has {len(value)}."
    return ""


def _number_fault(spec: Setting, value: object) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float):
        unit = next((each for ending, each in _UNITS.items() if spec.name.endswith(ending)), "")
        if isinstance(value, str) and unit:
            return f"must be a number of {unit}, without quotation marks and unit."
        return "must be a number."
    if spec.choices and f"{value:g}" not in spec.choices:
        return f"must be one of {', '.join(spec.choices)}; it is {value:g}."
    if not spec.minimum <= value <= spec.maximum:
        fault = f"must be from {spec.minimum:g} to {spec.maximum:g}; it is {value:g}."
        # A depth is a height below zero, and people write how deep it is.
        is_turned = spec.minimum <= -value <= spec.maximum
        return f"{fault} Was {-value:g} meant?" if is_turned else fault
    return ""


def _pens_fault(spec: Setting, value: object) -> str:
    if not isinstance(value, Mapping):
        return "must map layers (cut, cut-45deg, score, mark) to pen numbers."
    for name, pen in value.items():
        if not _LAYER.fullmatch(str(name)):
            return f"has no layer {str(name)[:40]}; layers are cut, cut-45deg, score, mark."
        # JSON may write a whole number as 4.0.
        if isinstance(pen, bool) or not isinstance(pen, int | float) or pen % 1 != 0:
            return f"needs a whole number for {name}."
        if not spec.minimum <= pen <= spec.maximum:
            return f"needs a pen from {spec.minimum:g} to {spec.maximum:g} for {name}."
    return ""


def _layers_fault(spec: Setting, value: object) -> str:
    """Return what is wrong with a mapping from layers to colours or widths."""
    if not isinstance(value, Mapping):
        return f"must map layers (cut, cut-45deg, score, mark) to {spec.type}."
    for name, each in value.items():
        if not _LAYER.fullmatch(str(name)):
            return f"has no layer {str(name)[:40]}; layers are cut, cut-45deg, score, mark."
        if spec.type == "colours":
            if not (isinstance(each, str) and re.fullmatch("#[0-9a-fA-F]{6}", each)):
                return f"needs a colour such as #ff0000 for {name}."
            continue
        whole = "whole " if spec.type == "colour numbers" else ""
        if isinstance(each, bool) or not isinstance(each, int | float) or (whole and each % 1 != 0):
            return f"needs a {whole}number for {name}."
        if not spec.minimum <= each <= spec.maximum:
            return f"needs a number from {spec.minimum:g} to {spec.maximum:g} for {name}."
    return ""

"""Cutters: tool, bed, margins, speeds, and settings of single formats."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from adapters import registry
from adapters.contract import setting_faults
from geometry.errors import GeometryError
from geometry.model.cutter import Bed, Cutter, Margins
from geometry.model.plausible import SPEED
from service.errors import RequestError
from service.requests.beds import BedSchema, reach_of
from service.requests.material_settings import materials_field, tuned
from service.requests.pieces import units
from service.requests.printed_paper import (
    misplaced,
    on_paper,
    pages_field,
    paper_field,
    with_bed_paper,
)
from service.schemas.context import CutterSource, current
from service.schemas.errors import of_geometry, together, unread, unusable
from service.schemas.fields import CUTTER_NAME, Bool, Length, Name, Num, Strict, Text
from service.schemas.loading import load
from service.schemas.structures import Either, Keyed, Union
from service.schemas.validation import List
from service.tools import BY_NAME, kind_of

_SPEED = validate.Range(SPEED.low, SPEED.high)


@dataclass(frozen=True)
class CutterRequest:
    """A cutter to be saved, and the JSON that says all of it."""

    cutter: Cutter
    document: Mapping[str, Any]


class MarginsSchema(Strict):
    """How far the tool's head reaches past the needle or beam; in any bed it stays inside."""

    left = Length(
        default_mm=0.0,
        metadata={"description": "reach of the head to the left of the tool's axis"},
    )
    right = Length(default_mm=0.0)
    top = Length(default_mm=0.0)
    bottom = Length(default_mm=0.0)

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Margins:  # noqa: ANN401 - marshmallow's own
        return Margins(**data)


def _setting() -> Either:
    """Return the field of one setting of a format: a word, a number, a switch or numbers."""
    return Either(
        "FormatSetting",
        [
            ((str,), Text(200)),
            ((int, float), Num(validate=validate.Range(-1.0e6, 1.0e6))),
            ((bool,), Bool()),
            ((list,), List(Num(), validate=validate.Length(0, 64))),
            (
                (dict,),
                Keyed(
                    Either(
                        "OperationSetting",
                        [
                            ((str,), Text(20)),
                            ((int, float), Num(validate=validate.Range(-1.0e6, 1.0e6))),
                        ],
                        wanted="A number, or a colour such as #ff0000.",
                    ),
                    keys=r"^[a-z]{1,20}(-[a-z0-9]{1,20})?$",
                    meaning="Not the name of an operation or layer.",
                    most=40,
                ),
            ),
        ],
        wanted="A setting is text, a number, true, false, a list of numbers, or values by name.",
    )


class InlineCutterSchema(Strict):
    """A cutter described in the request itself, lengths in its own units or else the request's."""

    # What GET /v1/cutters answers can be pasted here.
    inherits_units = True

    units = units()
    title = Text(80, metadata={"description": "for people: the run sheet names it"})
    tool = Union("Tool", {name: each.schema for name, each in BY_NAME.items()}, required=True)
    bed = fields.Nested(BedSchema)
    paper = paper_field()
    pages_across, pages_down = pages_field("side by side"), pages_field("one below another")
    margins = fields.Nested(MarginsSchema)
    head = fields.String(
        validate=validate.OneOf(["round", "rectangle"]),
        load_default="round",
        metadata={
            "description": "shape of the tool's head between its four margins: quarter ellipses "
            "(a disc where all are equal), or their box; it stays inside an opening of any shape "
            "and off every keep-out. A rectangular opening loses its margins either way",
        },
    )
    speed = Num(
        validate=_SPEED,
        load_default=50.0,
        metadata={"description": "mm/s while cutting; a pen's while drawing", "default": 50},
    )
    travel_speed = Num(
        validate=_SPEED,
        load_default=150.0,
        metadata={"description": "mm/s between cuts", "default": 150},
    )
    stop_s = Num(
        validate=validate.Range(0, 3600),
        load_default=20.0,
        metadata={"description": "seconds that one stop takes", "default": 20},
    )
    formats = Keyed(
        Keyed(
            _setting(),
            keys=r"^[a-z][a-z0-9_]{0,39}$",
            meaning="Not the name of a setting.",
            most=40,
        ),
        keys=r"^[a-z][a-z0-9_\-]{0,39}$",
        meaning="Not the name of a format; GET /v1/formats lists them.",
        most=20,
        metadata={"description": "settings of single formats, by the format's name"},
    )

    materials = materials_field()

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def _lies_somewhere(self, data: dict[str, Any], stated: Any, **_: Any) -> None:  # noqa: ANN401
        del data
        if not isinstance(stated, Mapping):
            return
        if "bed" not in stated and "paper" not in stated:
            raise unusable("State the `bed`, or for a pen the `paper`: pieces lie on one of them.")
        if errors := list(misplaced(stated)):
            raise together(errors)

    @validates_schema(skip_on_field_errors=False)
    def _settings_are_known(self, data: dict[str, Any], **_: Any) -> None:  # noqa: ANN401
        formats = data.get("formats")
        if isinstance(formats, Mapping) and (errors := list(_wrong_settings(formats))):
            raise together(errors)

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Any:  # noqa: ANN401 - or a saved one
        return cutter_of(data)


class SavedCutterSchema(InlineCutterSchema):
    """A cutter to be saved under a name, lengths in its own units."""

    inherits_units = False

    @post_load(pass_original=True)
    def _made(self, data: dict[str, Any], document: Any, **_: Any) -> Any:  # noqa: ANN401
        return CutterRequest(cutter_of(data), document)


def cutter_of(data: Mapping[str, Any]) -> Cutter:
    """Return the cutter that loaded members make.

    Raises:
        marshmallow.ValidationError: when together they leave nothing to cut on.
    """
    if "paper" in data:
        if not kind_of(data["tool"]).is_cut_by_hand:
            raise unusable("Paper is printed and cut by hand: its tool is a pen.", "paper")
        data = on_paper(data)
    elif kind_of(data["tool"]).is_cut_by_hand:
        data = with_bed_paper(data)
    bed: Bed = data["bed"]
    margins: Margins = data.get("margins", Margins())
    if margins.left + margins.right >= bed.width or margins.top + margins.bottom >= bed.height:
        raise unusable(f"The margins leave no work area on a {_size(bed)}.", "margins")
    try:
        cutter = Cutter(
            name="",
            tool=data["tool"],
            bed=bed,
            margins=margins,
            speed=data["speed"],
            travel_speed=data["travel_speed"],
            stop_s=data["stop_s"],
            formats=data.get("formats", {}),
            head=data["head"],
            title=data.get("title", ""),
        )
    except GeometryError as error:
        raise of_geometry(error) from None
    if not bed.roll:
        try:
            reach_of(cutter)
        except ValueError as error:
            raise unusable(str(error), "margins") from None
    return tuned(cutter, data["materials"]) if data.get("materials") else cutter


def _size(bed: Bed) -> str:
    if not bed.roll:
        return f"bed of {bed.width:g} by {bed.height:g} mm"
    if math.isinf(bed.width):
        return f"roll {bed.height:g} mm wide"
    return f"roll {bed.height:g} mm wide, {bed.width:g} mm long"


def _wrong_settings(formats: Mapping[str, Any]) -> Iterator[ValidationError]:
    """Yield settings that a format does not know or take; those of formats not here are kept."""
    for name, given in formats.items():
        if not registry.installed(name) or registry.fault_of(name):
            continue
        # What a plan needs is not known yet: a setting left out is reported with its file.
        for fault in setting_faults(registry.get(name).settings, given, name, whole=False):
            yield unusable(fault.message, "formats", name, fault.setting)


class NamedCutter(Name):
    """The name of a saved or built-in cutter; it loads that cutter, read in its own units."""

    def __init__(self, **kwargs: Any) -> None:  # noqa: ANN401 - passed on to the field
        meaning = "A cutter's name has lower-case letters, digits and hyphens."
        super().__init__(CUTTER_NAME, meaning, **kwargs)

    def deserialize(self, value: Any, *args: Any, **kwargs: Any) -> Any:  # noqa: ANN401
        """Return the cutter of that name."""
        name = super().deserialize(value, *args, **kwargs)
        source = current().cutters
        if source is None:
            # Where requests are only checked: which cutters there are is found out later.
            raise unread()
        return named_cutter(name, source)


def no_cutter(name: str) -> str:
    """Say that there is no cutter of a name."""
    return f'There is no cutter named "{name}"; GET /v1/cutters lists them.'


def named_cutter(name: str, cutters: CutterSource) -> Cutter:
    """Return a saved or built-in cutter.

    It was checked when it was saved, but perhaps by an earlier version with other bounds.

    Raises:
        marshmallow.ValidationError: when there is none, or it cannot be used any more.
    """
    found = cutters(name)
    if found is None:
        raise unusable(no_cutter(name))
    try:
        saved = saved_cutter(found)
    except RequestError as error:
        faults = "; ".join(f"{each.pointer[2:] or 'it'}: {each.detail}" for each in error.errors)
        detail = f'The saved cutter "{name}" cannot be used any more. Save it again. {faults}'
        raise unusable(detail) from None
    return replace(saved.cutter, name=name)


_SAVED = SavedCutterSchema()


def saved_cutter(stored: Mapping[str, Any]) -> CutterRequest:
    """Return a cutter from its stored JSON, which may say its version.

    Raises:
        RequestError: with every error.
    """
    document = {key: each for key, each in stored.items() if key != "version"}
    found: CutterRequest = load(_SAVED, document)
    return found


def cutter_choice(**kwargs: Any) -> Either:  # noqa: ANN401 - passed on to the field
    """Return the field of a cutter: by name, or described in place."""
    return Either(
        "CutterChoice",
        [
            ((str,), NamedCutter()),
            ((dict,), fields.Nested(InlineCutterSchema)),
        ],
        wanted="Name a saved or built-in cutter, or describe one.",
        **kwargs,
    )

"""What can be chosen from, as answers tell it: cutters, shapes, formats."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from service.requests.cutters import SavedCutterSchema
from service.schemas.answers import (
    FromSchema,
    Json,
    Link,
)


@dataclass(frozen=True, kw_only=True)
class CutterAnswer:
    """A built-in or saved cutter."""

    name: str
    built_in: bool
    version: Annotated[int, "counts up each time the cutter is saved"]
    cutter: Annotated[Json, FromSchema(SavedCutterSchema)]
    href: Annotated[Link, "the cutter"]


@dataclass(frozen=True, kw_only=True)
class CutterList:
    """A page of cutters: built-in ones first, then saved ones by name."""

    cutters: Sequence[CutterAnswer]
    next: Annotated[Link | None, "the next page, if there is one"] = None


@dataclass(frozen=True, kw_only=True)
class ParameterAnswer:
    """A number or choice that a shape takes."""

    name: str
    type: Literal["length", "count", "angle_deg", "choice"]
    description: str
    minimum: float | None = None
    maximum: float | None = None
    choices: Sequence[str] | None = None
    default: str | None = None


@dataclass(frozen=True, kw_only=True)
class ShapeAnswer:
    """A kind of shape in the catalogue."""

    kind: str
    title: str
    description: str
    family: Annotated[str, "60, 45 or empty: which angles it tiles with"]
    chiral: Annotated[bool, "its mirror image is another piece"]
    parameters: Sequence[ParameterAnswer]
    required: Sequence[str]
    size_options: Annotated[
        Sequence[Sequence[str]], "ways to size it: give exactly one of these sets"
    ]
    example: Mapping[str, Any]
    shares_edge_with: Sequence[str]
    picture: Annotated[Link, "dimensioned drawing"]
    href: Annotated[Link, "this shape"]


@dataclass(frozen=True, kw_only=True)
class ShapeList:
    """The catalogue."""

    shapes: Sequence[ShapeAnswer]


@dataclass(frozen=True, kw_only=True)
class NeededSettingAnswer:
    """A setting of a format, and the value of it that another setting needs."""

    setting: str
    value: Annotated[Any, "a text or a flag"]


@dataclass(frozen=True, kw_only=True)
class SettingAnswer:
    """One thing that a cutter may say of how a format is written for it."""

    name: str
    title: Annotated[str, "a heading for forms"]
    type: Annotated[str, "number, choice, text, flag, pens, colours, colour numbers, widths"]
    description: str
    required: bool
    choices: Sequence[str]
    default: Annotated[Any, "the value when it is not stated; absent where there is none"] = None
    minimum: float | None = None
    maximum: Annotated[float | None, "of a text: its characters"] = None
    only_with: Annotated[
        NeededSettingAnswer | None, "refused unless that setting, stated or default, is so"
    ] = None


@dataclass(frozen=True, kw_only=True)
class FormatFault:
    """A plug-in that cannot be used."""

    name: str
    detail: str


@dataclass(frozen=True, kw_only=True)
class FormatAnswer:
    """An installed file format."""

    name: str
    title: str
    media_type: str
    extension: str
    supports: Annotated[Sequence[str], "what of a cut plan it holds: arcs, stations, stops"]
    settings: Sequence[SettingAnswer]


@dataclass(frozen=True, kw_only=True)
class FormatList:
    """Installed formats, and plug-ins that cannot be used."""

    formats: Sequence[FormatAnswer]
    faults: Sequence[FormatFault]

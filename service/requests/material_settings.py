"""Settings of a cutter by material: what a test cut has shown to be right for it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from geometry.errors import GeometryError
from geometry.model.cutter import Cutter, DragBlade, Laser, SteelRuleDie
from geometry.model.plausible import KERF, OFFSET, SPEED
from service.requests.materials import MATERIALS, Material
from service.schemas.errors import of_geometry, unusable
from service.schemas.fields import Int, Num, Strict, Text
from service.schemas.plausible_length import PlausibleLength
from service.schemas.validation import List

MAX_MATERIALS = 200
"""Materials of one cutter."""
MAX_PASSES = 20
_WORDS = 40


@dataclass(frozen=True)
class MaterialSettings:
    """What a cutter is set to for a material; ``None`` or empty: as for any other.

    Args:
        material: its name; empty for any of the kind.
        kind: of material.
        offset: of a drag blade, mm.
        kerf: of a laser, mm.
        speed: while cutting, mm/s.
        passes: over the same line.
        force: as the machine has it.
        power: as the machine has it.
        test_cut: what the test cut showed.
    """

    material: str = ""
    kind: str = ""
    offset: float | None = None
    kerf: float | None = None
    speed: float | None = None
    passes: int | None = None
    force: str = ""
    power: str = ""
    test_cut: str = ""

    def matches(self, material: Material) -> bool:
        """Return whether these are the settings for a material, by its name or its kind."""
        if self.material:
            return self.material.casefold() == material.name.casefold()
        return self.kind == material.kind


@dataclass(frozen=True, slots=True)
class TunedCutter(Cutter):
    """A cutter with settings by material."""

    materials: tuple[MaterialSettings, ...] = ()


class MaterialSettingsSchema(Strict):
    """What a cutter is set to for one material, or for all of a kind."""

    material = Text(80, metadata={"description": "its name, as runs name it"})
    kind = fields.String(
        validate=validate.OneOf(MATERIALS),
        metadata={"description": "of the materials that have no settings by name"},
    )
    offset = PlausibleLength(OFFSET, metadata={"description": "of a drag blade"})
    kerf = PlausibleLength(KERF, metadata={"description": "of a laser"})
    speed = Num(
        validate=validate.Range(SPEED.low, SPEED.high),
        metadata={"description": "mm/s while cutting"},
    )
    passes = Int(
        validate=validate.Range(1, MAX_PASSES),
        metadata={
            "description": "over the same line, set at the machine: files hold one; times count all"
        },
    )
    force = Text(_WORDS, metadata={"description": 'as the machine has it, such as "120 g"'})
    power = Text(_WORDS, metadata={"description": 'as the machine has it, such as "35 %"'})
    test_cut = Text(200, metadata={"description": "what the test cut showed"})

    @validates_schema
    def _is_for_something(self, data: dict[str, Any], **_: Any) -> None:  # noqa: ANN401
        if bool(data.get("material")) == ("kind" in data):
            raise unusable("State the material by its name, or a kind of materials.")

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> MaterialSettings:  # noqa: ANN401
        return MaterialSettings(**data)


def materials_field() -> List:
    """Return the field of a cutter's settings by material."""
    return List(
        fields.Nested(MaterialSettingsSchema),
        validate=validate.Length(0, MAX_MATERIALS),
        metadata={
            "description": "settings for single materials: a run takes those of its material's "
            "name, otherwise those of its kind; they are on the run sheet"
        },
    )


def tuned(cutter: Cutter, rows: Sequence[MaterialSettings]) -> Cutter:
    """Return a cutter with settings by material.

    Raises:
        marshmallow.ValidationError: with each setting that its tool does not have.
    """
    errors: dict[int, Any] = {}
    seen: set[tuple[str, str]] = set()
    for index, row in enumerate(rows):
        key = (row.material.casefold(), row.kind)
        found = list(_wrong(cutter, row))
        if key in seen:
            found.append(unusable("This material has settings above already."))
        seen.add(key)
        if not found:
            try:
                set_for(cutter, row)
            except GeometryError as error:
                found.append(of_geometry(error))
        for each in found:
            errors.setdefault(index, {}).update(_by_name(each))
    if errors:
        raise ValidationError({"materials": errors})
    values = {name: getattr(cutter, name) for name in Cutter.__dataclass_fields__}
    return TunedCutter(**values, materials=tuple(rows))


def _by_name(error: ValidationError) -> Mapping[Any, Any]:
    messages = error.messages
    return messages if isinstance(messages, dict) else {"_schema": messages}


def _wrong(cutter: Cutter, row: MaterialSettings) -> Iterator[ValidationError]:
    tool = cutter.tool
    if row.offset is not None and not isinstance(tool, DragBlade):
        yield unusable("Only a drag blade has an offset; leave this out.", "offset")
    if row.kerf is not None and not isinstance(tool, Laser):
        yield unusable("Only a laser has a kerf; leave this out.", "kerf")
    if isinstance(tool, SteelRuleDie):
        for name in ("speed", "passes"):
            if getattr(row, name) is not None:
                yield unusable("A die is pressed; leave this out.", name)


def set_for(cutter: Cutter, row: MaterialSettings) -> Cutter:
    """Return a cutter as it is set for a material.

    Raises:
        geometry.errors.GeometryError: for numbers that no such tool has.
    """
    tool = cutter.tool
    if isinstance(tool, DragBlade) and row.offset is not None:
        tool = replace(tool, offset=row.offset)
    if isinstance(tool, Laser) and row.kerf is not None:
        tool = replace(tool, kerf=row.kerf)
    return replace(
        cutter,
        tool=tool,
        speed=cutter.speed if row.speed is None else row.speed,
        passes=cutter.passes if row.passes is None else row.passes,
    )


def for_material(cutter: Cutter, material: Material) -> tuple[Cutter, MaterialSettings | None]:
    """Return a cutter as it is set for a material, and these settings if there are any."""
    rows = [row for row in _rows(cutter) if row.matches(material)]
    row = next((each for each in rows if each.material), rows[0] if rows else None)
    return (cutter, None) if row is None else (set_for(cutter, row), row)


def _rows(cutter: Cutter) -> tuple[MaterialSettings, ...]:
    return cutter.materials if isinstance(cutter, TunedCutter) else ()


def set_for_material(data: dict[str, Any], stated: Any) -> None:  # noqa: ANN401 - JSON values
    """Set the cutter among a run's loaded members as it is set for the run's material."""
    cutter, material = data.get("cutter"), data.get("material")
    if material is None and not (isinstance(stated, Mapping) and "material" in stated):
        material = Material()
    if isinstance(cutter, TunedCutter) and isinstance(material, Material):
        data["cutter"], data["settings"] = for_material(cutter, material)

"""Kinds of shapes: their parameters, size options and outlines."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

from geometry.errors import GeometryFaults, ShapeError
from geometry.model.outline import Outline
from geometry.model.transform import moved

#: Lengths in mm, angles in degrees (names end ``_deg``), counts as int, choices as str.
Values: TypeAlias = Mapping[str, float | int | str]
ParameterType: TypeAlias = Literal["length", "count", "angle_deg", "choice"]


@dataclass(frozen=True)
class Parameter:
    """A parameter of a shape: a number or a choice.

    Units:
        ``minimum`` and ``maximum`` in mm, degrees or pieces, by ``type``.
    """

    name: str
    type: ParameterType
    description: str
    minimum: float = 0.0
    maximum: float = 1.0e4
    choices: tuple[str, ...] = ()
    default: str | None = None


@dataclass(frozen=True)
class ShapeKind:
    """A family of outlines.

    ``size_options`` lists the ways to size it, each a set of parameters; exactly one must be used.
    ``required`` lists parameters that every way needs. ``unit`` is the member with a
    reference edge of 1 mm, for finding shared edges. ``draw`` gets all values and the names of the
    chosen sizing.
    """

    kind: str
    title: str
    family: str
    description: str
    parameters: tuple[Parameter, ...]
    size_options: tuple[tuple[str, ...], ...]
    example: Mapping[str, str]
    unit: Values
    draw: Callable[[Values, tuple[str, ...]], Outline]
    required: tuple[str, ...] = ()
    chiral: bool = False

    def build(self, values: Values) -> Outline:
        """Return the outline of this kind at a size.

        Raises:
            ShapeError: when no sizing is stated, or two are, or a value is out of range; ``where``
                names the parameter.
            GeometryFaults: for several such errors.
        """
        stated = dict(values)
        for parameter in self.parameters:
            if parameter.default is not None:
                stated.setdefault(parameter.name, parameter.default)
        self._check(stated)
        return self.draw(stated, self._sizing(stated))

    @property
    def size_words(self) -> str:
        """The ways to size it, by their parameters' names, for errors."""
        return "; or ".join(" and ".join(sizing) for sizing in self.size_options)

    def _check(self, values: Values) -> None:
        faults: list[ShapeError] = []
        known = {parameter.name: parameter for parameter in self.parameters}
        for name, value in values.items():
            if name not in known:
                detail = f"The {self.title} has no {name}; it has {', '.join(known)}."
                faults.append(ShapeError(detail, where=(name,)))
                continue
            detail = _fault(known[name], value)
            if detail:
                faults.append(ShapeError(detail, where=(name,)))
        faults.extend(
            ShapeError(f"The {self.title} needs {name}.", where=(name,))
            for name in self.required
            if name not in values
        )
        if len(faults) == 1:
            raise faults[0]
        if faults:
            raise GeometryFaults(tuple(faults))

    def _sizing(self, values: Values) -> tuple[str, ...]:
        sizing_names = {name for sizing in self.size_options for name in sizing}
        given = {name for name in values if name in sizing_names}
        for sizing in self.size_options:
            if given == set(sizing):
                return sizing
        if not given:
            first = self.size_options[0][0]
            raise ShapeError(f"The {self.title} needs a size: {self.size_words}.", where=(first,))
        stated = [parameter.name for parameter in self.parameters if parameter.name in given]
        raise ShapeError(
            f"Size the {self.title} in exactly one way: {self.size_words}. "
            f"Stated: {', '.join(stated)}.",
            where=(stated[-1],),
        )


def _fault(parameter: Parameter, value: float | str) -> str:
    if parameter.type == "choice":
        if value in parameter.choices:
            return ""
        return f"{parameter.name} must be one of {', '.join(parameter.choices)}."
    if isinstance(value, str):
        return f"{parameter.name} must be a number."
    unit = {"length": " mm", "angle_deg": " degrees", "count": ""}[parameter.type]
    if parameter.type == "count" and value != int(value):
        return f"{parameter.name} must be a whole number."
    if not parameter.minimum <= value <= parameter.maximum or value <= 0.0:
        return (
            f"{parameter.name} must be from {parameter.minimum:g} to {parameter.maximum:g}{unit}; "
            f"it is {value:g}{unit}."
        )
    return ""


def length(name: str, description: str) -> Parameter:
    """Return a length parameter with the default range: a tenth of a millimetre to ten metres."""
    return Parameter(name, "length", description, minimum=0.1, maximum=1.0e4)


def count(name: str, description: str, least: int, most: int) -> Parameter:
    """Return a parameter for a whole number."""
    return Parameter(name, "count", description, minimum=least, maximum=most)


HAND = Parameter(
    "hand",
    "choice",
    "left is the mirror image of right",
    choices=("right", "left"),
    default="right",
)


def centred(outline: Outline) -> Outline:
    """Return the outline with the centre of its box at the origin."""
    box = outline.bounds
    return moved(outline, -(box.left + box.right) / 2.0, -(box.bottom + box.top) / 2.0)

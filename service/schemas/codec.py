"""The codec of answers: from frozen dataclasses to JSON values and back.

What each class needs is worked out once. A kit of many pieces has thousands of objects, so a member
that is JSON already is passed on as it is; a schema's own dump would look at every number.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import is_dataclass
from operator import attrgetter
from typing import Any, TypeAlias, TypeVar, get_args, get_origin

from service.schemas.answers import AnswerPoints, Member, member, members, once_per_class
from service.schemas.rounding import rounded, without_noise

T = TypeVar("T")
_Convert: TypeAlias = Callable[[Any], Any]


def dump(value: object) -> dict[str, Any]:
    """Return an answer as JSON values, its members in the order of its class."""
    found: dict[str, Any] = _dumper(type(value))(value)
    return found


def dump_rounded(value: object) -> dict[str, Any]:
    """Return the same, each number without the noise of binary arithmetic: in one walk."""
    found: dict[str, Any] = _rounding_dumper(type(value))(value)
    return found


def read(model: type[T], entry: Mapping[str, Any]) -> T:
    """Return what a stored answer says; members that the class does not have are left out.

    Raises:
        TypeError: when a required member is missing.
    """
    found: T = _reader(model)(entry)
    return found


@once_per_class
def _dumper(model: type[Any]) -> _Convert:
    return _dumps_members(model, dump, _dumps)


@once_per_class
def _rounding_dumper(model: type[Any]) -> _Convert:
    return _dumps_members(model, dump_rounded, _dumps_rounded)


def _dumps_members(
    model: type[Any], whole: _Convert, converter: Callable[[Member], _Convert | None]
) -> _Convert:
    """Return what makes a JSON object of a class, given what does so of a value and a member."""
    plan = [
        (name, required, bool(each.inlined), converter(each))
        for name, (each, required) in members(model).items()
    ]

    if len(plan) > 1 and all(step[1:] == (True, False, None) for step in plan):
        names = [name for name, *_ in plan]
        values = attrgetter(*names)
        return lambda value: dict(zip(names, values(value), strict=True))

    def dumped(value: object) -> dict[str, Any]:
        entry: dict[str, Any] = {}
        for name, required, inlined, convert in plan:
            item = getattr(value, name)
            if item is None:
                if required:
                    entry[name] = None
            elif inlined:
                entry |= whole(item)
            else:
                entry[name] = item if convert is None else convert(item)
        return entry

    return dumped


def _dumps(of: Member) -> _Convert | None:
    """Return what makes JSON of a member; ``None`` where it is JSON already."""
    if is_dataclass(of.type):
        # Looked up when it is needed, because the value's class may be one that adds members.
        return dump
    return _in_containers(of, _dumps)


def _dumps_rounded(of: Member) -> _Convert | None:
    """Return what makes JSON of a member with its numbers rounded."""
    if is_dataclass(of.type):
        return dump_rounded
    if of.type in {str, int, bool}:
        return None
    if of.type is float:
        return rounded
    return _in_containers(of, _dumps_rounded) or without_noise


@once_per_class
def _reader(model: type[Any]) -> _Convert:
    plan = [(name, each, _reads(each)) for name, (each, _) in members(model).items()]

    def made(entry: Mapping[str, Any]) -> Any:  # noqa: ANN401 - an instance of the model
        found: dict[str, Any] = {}
        for name, each, convert in plan:
            if each.inlined:
                found[name] = _of_inlined(each.inlined, entry)
            elif name in entry:
                item = entry[name]
                found[name] = item if convert is None or item is None else convert(item)
        return model(**found)

    return made


def _of_inlined(classes: Sequence[type[Any]], entry: Mapping[str, Any]) -> Any:  # noqa: ANN401 - an instance of one of them
    """Return the value whose members stand in an object: that with the most of them."""
    fitting = [each for each in classes if _is_in(each, entry)]
    if not fitting:
        return None
    return read(max(fitting, key=lambda each: len(_names(each) & entry.keys())), entry)


def _is_in(model: type[Any], entry: Mapping[str, Any]) -> bool:
    """Return whether an object has every member that a class requires."""
    return all(
        any(_is_in(inner, entry) for inner in each.inlined) if each.inlined else name in entry
        for name, (each, required) in members(model).items()
        if required
    )


def _names(model: type[Any]) -> set[str]:
    """Return the names of a class's members in JSON."""
    found: set[str] = set()
    for name, (each, _) in members(model).items():
        found |= {name} if not each.inlined else set[str]().union(*map(_names, each.inlined))
    return found


def _reads(of: Member) -> _Convert | None:
    if is_dataclass(of.type):
        return _reader(of.type)  # type: ignore[arg-type] # it is a class
    return _in_containers(of, _reads)


def _in_containers(of: Member, each: Callable[[Member], _Convert | None]) -> _Convert | None:
    """Return what converts the values of a list or an object."""
    origin, inside = get_origin(of.type), get_args(of.type)
    if AnswerPoints in of.notes or origin not in {Sequence, Mapping}:
        return None
    convert = each(member(inside[-1]))
    if origin is Sequence:
        return list if convert is None else lambda items: [convert(item) for item in items]
    if convert is None:
        return dict
    return lambda items: {key: convert(item) for key, item in items.items()}

"""Every answer, made from nothing but its class, fits what the document says of it."""

from __future__ import annotations

import dataclasses
import importlib
import pkgutil
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

import jsonschema
import orjson
import pytest
from marshmallow import fields

import service.answers
from service.answers.problems import Problem
from service.requests.blocks import BlockSchema
from service.requests.cutters import SavedCutterSchema
from service.requests.drawn_blocks import DrawnBlockRequestSchema
from service.requests.kits import KitRequestSchema
from service.requests.prices import SavedPriceListSchema
from service.schemas.answers import AnswerPoints, FromSchema, Member, member, members
from service.schemas.codec import dump, read

OPENAPI = Path(__file__).resolve().parents[2] / "openapi"
DOCUMENT = orjson.loads((OPENAPI / "openapi.json").read_bytes())
COMPONENTS = DOCUMENT["components"]["schemas"]
CUTTER = {"tool": {"kind": "pen"}, "bed": {"width": "20 cm", "height": "10 cm"}}
STATED = {
    FromSchema(KitRequestSchema): orjson.loads(
        (OPENAPI / "examples/harbour-class-set.json").read_bytes()
    ),
    FromSchema(SavedCutterSchema): CUTTER,
    FromSchema(Problem): {
        "type": "/problems#busy",
        "title": "Service busy",
        "status": 503,
        "detail": "Try again.",
        "request_id": "1",
    },
    FromSchema(BlockSchema): {
        "size": 10,
        "pieces": [{"points": [[0, 0], [10, 0], [10, 10], [0, 10]], "colour": "blue"}],
    },
    FromSchema(DrawnBlockRequestSchema): orjson.loads(
        (OPENAPI / "examples/harbour-block.json").read_bytes()
    ),
    FromSchema(SavedPriceListSchema): orjson.loads(
        (OPENAPI / "examples/harbour-prices.json").read_bytes()
    ),
    fields.UUID: "6f1c2f6e-0000-4000-8000-000000000001",
    fields.DateTime: "2031-05-04T03:02:01.000000+00:00",
    fields.Date: "2031-05-04",
    AnswerPoints: [[0.0, 0.0], [10.0, 0.0, 0.5], [0.0, 10.0]],
}
PLAIN: Mapping[object, Any] = {str: "salt", int: 3, float: 1.5, bool: True, Any: "any"}


def classes() -> Iterator[type[Any]]:
    for found in pkgutil.iter_modules(service.answers.__path__, "service.answers."):
        module = importlib.import_module(found.name)
        for each in vars(module).values():
            if dataclasses.is_dataclass(each) and each.__module__ == found.name:
                assert isinstance(each, type)
                yield each


CLASSES = sorted(classes(), key=lambda each: each.__name__)
#: Those whose members stand in other answers, so that the document does not name them.
PARTS = {
    "ByLengthAnswer",
    "CutKitAnswer",
    "FinishAnswer",
    "FromPreCutsAnswer",
    "InPreCutsAnswer",
    "InStripsAnswer",
    "KitIdentity",
    "LengthAnswer",
    "LoadLayoutAnswer",
    "PreCutsAnswer",
    "QuotedAnswer",
    "StockPlaceAnswer",
}


def made(model: type[Any], *, is_full: bool, variant: int = -1) -> Any:
    stated = {}
    for name, (each, required) in members(model).items():
        if required or is_full:
            stated[name] = _value(each, is_full=is_full, variant=variant)
    return model(**stated)


def _value(of: Member, *, is_full: bool, variant: int) -> Any:
    stated = next((STATED[note] for note in of.notes if note in STATED), None)
    if of.is_nullable and not is_full:
        return None
    if stated is not None:
        return stated
    if getattr(of.maker, "__name__", "") == "shape":
        return {"kind": "hexagon", "side": "1 in"}
    kinds = of.inlined or ((of.type,) if dataclasses.is_dataclass(of.type) else ())
    if kinds:
        return made(kinds[variant % len(kinds)], is_full=is_full, variant=variant)
    return _plain(of, is_full=is_full, variant=variant)


def _plain(of: Member, *, is_full: bool, variant: int) -> Any:
    origin, inside = get_origin(of.type), get_args(of.type)
    if origin is Literal:
        return inside[variant % len(inside)]
    if origin in {Sequence, Mapping}:
        value = _value(member(inside[-1]), is_full=is_full, variant=variant)
        return [value] if origin is Sequence else {"A": value}
    return PLAIN[of.type]


def test_there_are_answers() -> None:
    assert len(CLASSES) > 70
    names = [each.__name__ for each in CLASSES]
    assert len(set(names)) == len(names)
    assert set(names) - PARTS <= COMPONENTS.keys()
    assert not COMPONENTS.keys() & PARTS


@pytest.mark.parametrize("model", CLASSES, ids=lambda each: each.__name__)
@pytest.mark.parametrize("is_full", [True, False])
def test_an_answer_is_what_the_document_says(model: type[Any], *, is_full: bool) -> None:
    for variant in range(3):
        _check(model, is_full=is_full, variant=variant)


def _check(model: type[Any], *, is_full: bool, variant: int) -> None:
    value = made(model, is_full=is_full, variant=variant)
    # As it is sent: text, read by another library.
    sent = orjson.loads(orjson.dumps(dump(value)))
    assert dump(read(model, sent)) == sent
    if model.__name__ in PARTS:
        return
    schema = {
        "$ref": f"#/components/schemas/{model.__name__}",
        "components": {"schemas": COMPONENTS},
    }
    jsonschema.Draft202012Validator(schema).validate(sent)
    properties = COMPONENTS[model.__name__]["properties"]
    assert sent.keys() <= properties.keys()
    if is_full and not any(each.inlined for each, _ in members(model).values()):
        assert sent.keys() == properties.keys()


def test_the_document_is_not_believed_blindly() -> None:
    """An answer that lacks a member, or has one of another type, does not fit."""
    schema = {"$ref": "#/components/schemas/StopAnswer", "components": {"schemas": COMPONENTS}}
    check = jsonschema.Draft202012Validator(schema)
    check.validate({"before_stroke": 0, "reason": "check", "message": "Look."})
    for wrong in (
        {"reason": "check", "message": "Look."},
        {"before_stroke": "0", "reason": "check", "message": ""},
    ):
        assert not check.is_valid(wrong)

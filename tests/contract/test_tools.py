"""Every kind of tool states all that a tool needs: a new one that forgot something fails here."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, get_args

import orjson
import pytest
from flask.testing import FlaskClient

from geometry.model.cutter import Tool
from service.schemas.answers import members
from service.tools import BY_NAME, KINDS
from service.tools.kind import ToolKind

ROOT = Path(__file__).parents[2]
#: Attributes without a value in the base class, apart from the tables of the schemas.
REQUIRED = [name for name in ToolKind.__annotations__ if not hasattr(ToolKind, name)]
#: What a tool may leave empty: a pen has no cut of its own that can go wrong, nor a gap.
MAY_BE_EMPTY = {"remedies", "default_gap_mm"}

each_kind = pytest.mark.parametrize("kind", KINDS, ids=BY_NAME)


def test_the_registry_has_every_tool_of_geometry_once() -> None:
    assert sorted(BY_NAME) == sorted(tool.kind for tool in get_args(Tool))
    assert len(KINDS) == len(BY_NAME)
    assert len({each.built_in.name for each in KINDS}) == len(KINDS)


@each_kind
@pytest.mark.parametrize("name", REQUIRED)
def test_a_tool_states_every_attribute(kind: ToolKind[Any], name: str) -> None:
    assert hasattr(kind, name), f"{type(kind).__name__} does not state {name}"
    if name not in MAY_BE_EMPTY:
        assert getattr(kind, name)


def test_a_tool_that_forgot_its_cautions_is_found() -> None:
    """The check above can fail: a tool without an attribute does not get it from the base."""
    forgetful = type("Forgetful", (ToolKind,), {"reach": lambda *_: None})
    assert set(REQUIRED) >= {"cautions", "preparation", "remedies", "schema", "words", "built_in"}
    assert not any(hasattr(forgetful(), name) for name in REQUIRED)


@each_kind
def test_a_tool_speaks_for_itself(kind: ToolKind[Any]) -> None:
    """Cautions, preparation and words are a tool's own, and its reach has a reason in words."""
    others = [each for each in KINDS if each is not kind]
    assert kind.words not in [each.words for each in others]
    assert kind.preparation not in [each.preparation for each in others]
    tool = kind.model()
    if kind.reach(tool).cut:
        assert kind.reach_reason(tool) != ToolKind.reach_reason(kind, tool)
    assert (kind.min_gap_mm(tool) > 0.0) == bool(kind.min_gap_reason(tool))
    assert kind.usual_gap_mm(tool) >= kind.min_gap_mm(tool)


@each_kind
def test_a_tool_is_documented(kind: ToolKind[Any]) -> None:
    name = kind.model.kind
    assert f"`{name}`" in (ROOT / "README.md").read_text()
    document = orjson.loads((ROOT / "openapi/openapi.json").read_bytes())["components"]["schemas"]
    schema = document[kind.schema.__name__.removesuffix("Schema")]
    assert schema["properties"]["kind"] == {"type": "string", "const": name}
    assert set(schema["properties"]) == set(kind.schema().fields)
    for member in members(kind.load_answer):
        assert member in document["LoadAnswer"]["properties"]
    for member in members(kind.time_answer):
        assert member in document["TimeBasisAnswer"]["properties"]


@each_kind
def test_the_built_in_cutter_of_a_tool_makes_a_kit(
    client: FlaskClient, small_kit: dict[str, Any], kind: ToolKind[Any]
) -> None:
    """The sheet has the tool's words, cautions, preparation and remedies; pictures its legend."""
    assert kind.built_in.document["tool"]["kind"] == kind.model.kind
    small_kit["documents"] = ["run_sheet"]
    small_kit["runs"][0] |= {
        "cutter": kind.built_in.name,
        "material": {"name": "card", "kind": "card"},
        "formats": ["svg", "plan"],
    }
    made = client.post("/v1/kits", json=small_kit)
    assert made.status_code == 201, made.get_data(as_text=True)
    answer = made.get_json()
    (run,) = answer["runs"]
    assert run["tool"] == kind.model.kind
    assert set(kind.cautions) <= set(answer["cautions"])
    assert set(members(kind.time_answer)) <= set(run["time_basis"])
    for load in run["loads"]:
        assert set(members(kind.load_answer)) <= set(load)
    page = client.get(answer["run_sheet_page"]).get_data(as_text=True)
    flat = " ".join(re.sub("<[^>]*>", " ", page).split())
    # A cutter that comes with the service is called by its title, which begins with its tool.
    assert kind.words.lower() in flat.lower()
    for text in (kind.preparation, *kind.remedies, *kind.cautions):
        assert text.replace("'", "&#39;") in flat.replace("&#x27;", "&#39;")
    picture = client.get(run["loads"][0]["path_picture"]).get_data(as_text=True)
    assert kind.line_words in picture

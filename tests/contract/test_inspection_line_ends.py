"""Drawings whose lines end otherwise, or of which parts are hidden, are read as they look."""

from __future__ import annotations

import io
from typing import Any

import pytest
from ezdxf import filemanagement as ezdxf
from flask.testing import FlaskClient


def inspected(client: FlaskClient, data: bytes, name: str) -> Any:
    form = {"file": (io.BytesIO(data), name)}
    answer = client.post("/v1/inspections", data=form, content_type="multipart/form-data")
    assert answer.status_code == 200, answer.get_data(as_text=True)
    return answer.get_json()


def drawing() -> Any:
    document = ezdxf.new("R2000", setup=False)
    document.header["$INSUNITS"] = 4
    return document


def as_text(document: Any, ends: str = "\n") -> bytes:
    text = io.StringIO()
    document.write(text)
    return text.getvalue().replace("\n", ends).encode("ascii")


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
def test_lines_may_end_in_any_way(client: FlaskClient, ends: str) -> None:
    """A rectangle of 30 x 20 mm; in HP-GL 40 plotter units are 1 mm."""
    document = drawing()
    corners = [(10, 10), (40, 10), (40, 30), (10, 30)]
    document.modelspace().add_lwpolyline(corners, close=True)
    plotted = ends.join(
        ["IN;", "SP1;", "PU0,0;", "PD1200,0,1200,800,0,800,0,0;", "PU;", "SP0;", ""]
    )
    for data, name in ((as_text(document, ends), "a.dxf"), (plotted.encode(), "a.plt")):
        (outline,) = inspected(client, data, name)["outlines"]
        assert (outline["width_mm"], outline["height_mm"]) == pytest.approx((30, 20))


def test_what_is_hidden_is_left_out_and_listed(client: FlaskClient) -> None:
    document = drawing()
    space = document.modelspace()
    document.layers.add("notes").off()
    document.layers.add("old").freeze()
    space.add_circle((50, 50), 10)
    space.add_circle((50, 50), 20, dxfattribs={"layer": "notes"})
    space.add_circle((50, 50), 25, dxfattribs={"layer": "notes"})
    space.add_circle((50, 50), 30, dxfattribs={"layer": "old"})
    space.add_circle((50, 50), 40, dxfattribs={"invisible": 1})
    found = inspected(client, as_text(document), "a.dxf")
    (outline,) = found["outlines"]
    assert outline["width_mm"] == pytest.approx(20)
    assert {each["element"]: each["count"] for each in found["skipped"]} == {
        "CIRCLE (layer notes is off)": 2,
        "CIRCLE (layer old is frozen)": 1,
        "CIRCLE (invisible)": 1,
    }


def test_a_file_without_a_drawing_says_so_and_why(client: FlaskClient) -> None:
    document = drawing()
    found = inspected(client, as_text(document), "a.dxf")
    assert found["warnings"][0].startswith("Nothing was found: the file holds no lines")
    document.layers.add("notes").off()
    document.modelspace().add_circle((0, 0), 5, dxfattribs={"layer": "notes"})
    found = inspected(client, as_text(document), "a.dxf")
    assert "CIRCLE (layer notes is off)" in found["warnings"][0]


def test_hidden_elements_of_an_svg_are_left_out_and_listed(client: FlaskClient) -> None:
    """As vector editors hide layers: display by attribute or style; visibility is inherited."""
    data = """
        <svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">
          <rect width="10" height="10"/>
          <g style="fill:none; display:none">
            <rect width="20" height="20"/><rect width="30" height="30"/>
          </g>
          <rect width="40" height="40" display="none"/>
          <g visibility="hidden">
            <rect width="50" height="50"/>
            <rect width="60" height="60" style="visibility: visible"/>
          </g>
        </svg>
    """
    found = inspected(client, data.strip().encode(), "a.svg")
    assert sorted(each["width_mm"] for each in found["outlines"]) == pytest.approx([10, 60])
    assert {each["element"]: each["count"] for each in found["skipped"]} == {
        "g (hidden)": 1,
        "rect (hidden)": 2,
    }

"""A DXF whose model space is gone is refused in words; found by the fuzz of the reader."""

from __future__ import annotations

import io

from ezdxf import filemanagement as ezdxf
from flask.testing import FlaskClient


def test_a_dxf_without_its_model_space(client: FlaskClient) -> None:
    document = ezdxf.new("R2000", setup=False)
    document.modelspace().add_circle((3, 3), 2)
    text = io.StringIO()
    document.write(text)
    damaged = text.getvalue().replace("\nModel\n", "\nMobel\n")
    assert damaged != text.getvalue()
    form = {"file": (io.BytesIO(damaged.encode()), "a.dxf"), "units": "mm"}
    answer = client.post("/v1/inspections", data=form, content_type="multipart/form-data")
    assert answer.status_code == 422, answer.get_data(as_text=True)
    assert "model space is missing" in answer.get_data(as_text=True)


def test_what_the_library_stumbles_over_is_not_in_its_own_words(client: FlaskClient) -> None:
    """A hatch whose paths are cut short: the library says "list index out of range"."""
    text = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
    text += "0\nHATCH\n8\n0\n91\n1000000\n92\n1\n93\n99999\n0\nENDSEC\n0\nEOF\n"
    answer = client.post("/v1/inspections", data={"file": (io.BytesIO(text.encode()), "a.dxf")})
    assert answer.status_code == 422
    (fault,) = answer.get_json()["errors"]
    assert fault["detail"] == (
        "This DXF cannot be read: it is cut short or damaged; save it again, as DXF R2000."
    )

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

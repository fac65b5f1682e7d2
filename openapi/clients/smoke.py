"""Makes a kit with the generated client, against the server whose address is the argument."""

# ruff: noqa: INP001, T201, S101 - a small program that says whether the client works

from __future__ import annotations

import sys

from quarterseam_client import Client
from quarterseam_client.api.kits import create_kit, get_kit, get_kit_file
from quarterseam_client.api.shapes import draw_shape
from quarterseam_client.models import (
    HexagonShape,
    KitAnswer,
    KitRequest,
    Piece,
    Problem,
    Run,
)


def main(url: str) -> None:
    """Make a kit, fetch it and one of its files, and be refused once."""
    client = Client(base_url=url)
    hexagon = Piece(
        id="A", shape=HexagonShape(kind="hexagon", side="1"), quantity=4, seam_allowance="1/4"
    )
    run = Run(cut="template", cutter="drag-blade-sheet", formats=["svg"])
    request = KitRequest(title="Typed", units="in", pieces=[hexagon], runs=[run])
    made = create_kit.sync(client=client, body=request)
    assert isinstance(made, KitAnswer), made
    assert made.runs[0].loads[0].outlines.additional_properties == {"A": 4}
    fetched = get_kit.sync(client=client, kit_id=made.id)
    assert isinstance(fetched, KitAnswer)
    assert fetched.to_dict() == made.to_dict()
    file = made.runs[0].loads[0].files[0]
    written = get_kit_file.sync(client=client, kit_id=made.id, name=file.name)
    assert not isinstance(written, Problem | None), written
    assert len(written.payload.read()) == file.bytes_
    drawing = draw_shape.sync(client=client, kind="kite", seam_allowance="6 mm")
    assert not isinstance(drawing, Problem | None), drawing
    refused = create_kit.sync(client=client, body=KitRequest(pieces=[], runs=[run]))
    assert isinstance(refused, Problem)
    assert refused.type_ == "/problems#schema-mismatch"
    print("made", made.id)


if __name__ == "__main__":
    main(sys.argv[1])

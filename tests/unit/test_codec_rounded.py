"""An answer dumped with its numbers rounded: the same as rounded first and dumped then."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import orjson

from service import kits
from service.requests.pieces import OutlinesRequestSchema
from service.schemas.answers import Json, Points
from service.schemas.codec import dump, dump_rounded
from service.schemas.loading import load
from service.schemas.rounding import without_noise


@dataclass(frozen=True, kw_only=True)
class _Sampled:
    whole: int
    share: float
    rows: Points
    notes: Json
    empty: float | None = None


def test_noise_is_left_out_and_nothing_else_changes() -> None:
    # 0.1 + 0.2 is 0.30000000000000004 in binary (IEEE 754), and a sum may end at -8.9e-17.
    sampled = _Sampled(
        whole=3, share=0.1 + 0.2, rows=[[1, -8.9e-17, 0.1 + 0.2]], notes={"a": [0.1 + 0.2, True, 7]}
    )
    found = dump_rounded(sampled)
    assert orjson.dumps(found) == (
        b'{"whole":3,"share":0.3,"rows":[[1,0.0,0.3]],"notes":{"a":[0.3,true,7]}}'
    )
    # An integer where a number is stated stays one.
    assert (
        orjson.dumps(dump_rounded(_Sampled(whole=3, share=2, rows=[], notes={}))["share"]) == b"2"
    )


def test_outlines_with_marks_and_holes_are_the_same_in_one_walk() -> None:
    pieces: list[dict[str, Any]] = [
        {
            "id": kind,
            "shape": {"kind": kind, "side": "1 1/8 in"},
            "seam_allowance": "1/4 in",
            "corners": {"kind": corners},
            "match_marks": True,
            "removal_hole": True,
        }
        for kind, corners in (("hexagon", "round"), ("jewel", "blunt"), ("square", "mitre"))
    ]
    answer = kits.outlines(load(OutlinesRequestSchema(), {"units": "in", "pieces": pieces}))
    found = dump_rounded(answer)
    assert orjson.dumps(found) == orjson.dumps(dump(without_noise(answer)))
    assert orjson.dumps(found) != orjson.dumps(dump(answer))
    assert all(piece.patch.marks for piece in answer.pieces)

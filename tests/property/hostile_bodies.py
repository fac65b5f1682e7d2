"""JSON bodies that cost much to check: many elements, deep or wide, long or odd, of any size."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

Body = Callable[[int], bytes]

PIECE = {"id": "A", "shape": {"kind": "square", "side": "20 mm"}}
RUN = {"cut": "patch", "cutter": "laser-bed"}
KIT_ID = "00000000-0000-4000-8000-000000000000"

#: The operations that take JSON: path, and the members that hold lists or objects. All of them: see
#: test_every_operation_with_a_body_is_tried.
ENDPOINTS: dict[str, tuple[str, ...]] = {
    "/v1/outlines": ("pieces",),
    "/v1/layouts": ("pieces", "runs", "documents"),
    "/v1/kits": ("pieces", "runs", "documents"),
    "/v1/batches": ("requests", "shapes", "sizes", "cutters", "pieces", "runs"),
    "/v1/quilt-plans": ("colours", "fabric", "edge"),
    "/v1/yardage": ("pieces", "fabric"),
    "/v1/finishing": ("quilt", "binding"),
    f"/v1/kits/{KIT_ID}/recuts": ("pieces",),
    f"/v1/kits/{KIT_ID}/links": ("name",),
    "/v1/cutters/harbour": ("bed", "formats", "tool"),
    "/v1/price-lists/harbour": ("materials", "consumables"),
    "/v1/blocks": ("paths",),
    "/v1/blocks/harbour": ("paths",),
}


def method(path: str) -> str:
    """Return the method of a path: what is saved under a name is put there."""
    return "PUT" if path.endswith("/harbour") else "POST"


def _times(element: bytes, size: int) -> bytes:
    return b",".join([element] * max(1, size // (len(element) + 1)))


def _keys(size: int, value: bytes) -> bytes:
    count = max(1, size // (len(value) + 10))
    return b",".join(b'"%06x":%s' % (each, value) for each in range(count))


def _list(element: bytes, size: int) -> bytes:
    return b"[" + _times(element, size) + b"]"


def _object(value: bytes, size: int) -> bytes:
    return b"{" + _keys(size, value) + b"}"


def shapes() -> Iterator[tuple[str, Body]]:
    """Yield names and values of a given size, to be put in place of any member."""
    for name, element in (
        ("empty objects", b"{}"),
        ("empty lists", b"[]"),
        ("nulls", b"null"),
        ("small numbers", b"1"),
        ("large numbers", b"1" * 400),
        ("exponents", b"1e300"),
        ("short texts", b'"ab"'),
        ("objects with one unknown member", b'{"x":0}'),
        ("objects in objects", b'{"":{"":{"":{}}}}'),
        ("lists in lists", b"[[[[]]]]"),
        ("pairs", b"[1,2]"),
        ("pieces", json.dumps(PIECE).encode()),
        ("runs", json.dumps(RUN).encode()),
        ("shapes", b'{"kind":"square","side":1}'),
        ("kits", json.dumps({"pieces": [PIECE], "runs": [RUN]}).encode()),
    ):
        yield f"list of {name}", partial(_list, element)
    for name, value in (("zeros", b"0"), ("empty objects", b"{}"), ("texts", b'"a"')):
        yield f"unknown members of {name}", partial(_object, value)
    yield "edges", lambda size: b"{" + _keys(size, b"{}").replace(b'"0', b'"') + b"}"
    yield "nested lists", lambda size: b"[" * (size // 2) + b"]" * (size // 2)
    yield "nested objects", lambda size: b'{"a":' * (size // 6) + b"1" + b"}" * (size // 6)
    yield "long text", lambda size: b'"' + b"a" * size + b'"'
    yield "odd text", lambda size: b'"' + "é\u2028".encode() * (size // 5) + b'"'
    yield "long number", lambda size: b"1" * size
    yield "doubled members", lambda size: b"{" + _times(b'"a":1', size) + b"}"


def whole_shapes() -> Iterator[tuple[str, str, str, Body]]:
    """Yield path, name, member and shape: each as the whole body, and in place of each member."""
    for path, members in ENDPOINTS.items():
        for name, shape in shapes():
            yield path, name, "", shape
            for member in members:
                yield path, f"{member}: {name}", member, shape


def body(shape: Body, member: str, size: int) -> bytes:
    """Return a body of a size: a shape, or an object with that shape as a member."""
    if not member:
        return shape(size)
    return b'{"' + member.encode() + b'":' + shape(size - len(member) - 6) + b"}"


def whole_bodies(size: int) -> Iterator[tuple[str, str, bytes]]:
    """Yield path, name and body of every shape in every place."""
    for path, name, member, shape in whole_shapes():
        yield path, name, body(shape, member, size)


def usable_bodies(size: int) -> Iterator[tuple[str, str, bytes]]:
    """Yield bodies that fit the schemas as far as they go, with as much in them as they may."""
    piece, run = json.dumps(PIECE).encode(), json.dumps(RUN).encode()
    kit = b'{"pieces":[%s],"runs":[%s]}' % (piece, run)
    yield "/v1/batches", "2000 kits", b'{"requests":[' + _times(kit, min(size, 220_000)) + b"]}"
    wide = b'{"pieces":[%s],"runs":[%s]}' % (_times(piece, 13_000), _times(run, 1_900))
    yield "/v1/batches", "wide kits", b'{"requests":[' + _times(wide, size) + b"]}"
    lists: dict[str, Any] = {
        "request": {"pieces": [PIECE], "runs": [RUN]},
        "shapes": [{"kind": "square", "side": 1}] * 100,
        "sizes": [{"side": "1 in"}] * 100,
    }
    yield "/v1/batches", "shapes by sizes", json.dumps(lists).encode()
    many = lists | {
        "request": {"pieces": [PIECE | {"id": f"P{k}"} for k in range(200)], "runs": [RUN]},
        "sizes": [{"side": "1 in"}] * 2000,
    }
    del many["shapes"]
    yield "/v1/batches", "sizes by pieces", json.dumps(many).encode()
    choices = lists | {"cutters": [f"cutter-{k}" for k in range(2000)]}
    del choices["shapes"], choices["sizes"]
    yield "/v1/batches", "unknown cutters", json.dumps(choices).encode()
    edges = b"{" + b",".join(b'"%d":{"kind":"blunt"}' % k for k in range(4990)) + b"}"
    edged = piece[:-1] + b',"corners":{"overrides":' + edges + b"}}"
    yield "/v1/outlines", "corners", b'{"pieces":[' + _times(edged, size) + b"]}"
    points = b"[" + _times(b"[1.5,2]", 8 * 5000)[:-8] + b"]"
    drawn = b'{"id":"A","shape":{"kind":"custom","points":' + points + b"}}"
    yield "/v1/outlines", "points", b'{"pieces":[' + _times(drawn, size) + b"]}"
    path = b'{"id":"A","shape":{"kind":"custom","path":"' + b"M0,0L1,1" * 6000 + b'"}}'
    yield "/v1/layouts", "paths", b'{"pieces":[' + _times(path, size) + b'],"runs":[' + run + b"]}"
    names = b",".join(b'"%d"' % (k % 99_999) for k in range(60_000))[: min(size, 400_000)]
    names = names[: names.rindex(b",")]
    quilt = b'"tiling":"squares","side":"1 in","quilt":{"width":"1 m","length":"1 m"}'
    yield "/v1/quilt-plans", "colours", b'{%s,"colours":{"names":[%s]}}' % (quilt, names)
    rows = b'{"id":"A","width":"1 in","length":"1 in","quantity":1000000}'
    yield "/v1/yardage", "pieces", b'{"pieces":[' + _times(rows, 200 * (len(rows) + 1)) + b"]}"
    ring = b"[" + _times(b"[10,10]", 8 * 500) + b"]"
    holes = b"[" + b",".join([b"[" + _times(b"[1,1]", 6 * 100) + b"]"] * 20) + b"]"
    bed = b'{"width":"1 m","height":"1 m","shape":"polygon","points":%s,"keep_out":%s}' % (
        ring, holes,
    )  # fmt: skip
    yield "/v1/cutters/harbour", "keep-outs", b'{"tool":{"kind":"laser"},"bed":' + bed + b"}"

    row = b'{"name":"n%d","per_length":"1.5","length":"1 m","step":"1 cm"}'
    rows = b",".join(row % k for k in range(100))
    yield "/v1/price-lists/harbour", "materials", b'{"currency":"EUR","materials":[%s]}' % rows
    for where in ("/v1/blocks", "/v1/blocks/harbour"):
        line = b'{"points":[[0,0],[9,9]]}'
        lines = _times(line, min(size, 10_000 * (len(line) + 1)))
        yield where, "lines", b'{"units":"mm","paths":[' + lines + b"]}"
        long = b'{"points":' + points + b',"closed":true,"fabric":"sea"}'
        yield where, "long paths", b'{"units":"mm","paths":[' + _times(long, size) + b"]}"


BOUNDARY = "harbour"
#: The operations that take a form with a drawing.
FORM_ENDPOINTS = ("/v1/inspections", "/v1/blocks")


def forms(size: int) -> Iterator[tuple[str, bytes]]:
    """Yield names and multipart bodies for inspections: much of each thing that a form has."""
    part = b'--harbour\r\nContent-Disposition: form-data; name="%s"%s\r\n\r\n%s\r\n'
    end = b"--harbour--\r\n"

    def form(*parts: tuple[bytes, bytes, bytes]) -> bytes:
        return b"".join(part % each for each in parts) + end

    named = b'; filename="a.svg"'
    yield "long file", form((b"file", named, b"x" * size))
    yield "file of line ends", form((b"file", named, b"\r\n" * (size // 2)))
    yield "file of near boundaries", form((b"file", named, b"\r\n--harbou" * (size // 10)))
    yield "long field", form((b"units", b"", b"x" * size))
    yield "many parts", part % (b"a", b"", b"") * (size // 60) + end
    yield "many files", form(*[(b"file", named, b"<svg/>")] * (size // 90))
    yield "boundaries alone", b"--harbour\r\n" * (size // 11) + end
    yield "long name", form((b"a" * size, b"", b""))
    yield "long file name", form((b"file", b'; filename="%s"' % (b"a" * size), b""))
    yield "many parameters", form((b"file", b'; a="b"' * (size // 7), b""))
    many = b"X-A: b\r\n" * (size // 8)
    yield "many headers", b'--harbour\r\nContent-Disposition: form-data; name="a"\r\n' + many
    yield "no end", part % (b"file", named, b"x" * size)
    svg = b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm">%s</svg>'
    yield "deep drawing", form((b"file", named, svg % (b"<g>" * (size // 8))))
    yield "drawing of paths", form((b"file", named, svg % (b'<path d="M0 0L1 1"/>' * (size // 22))))

"""The SVG reader path by path and as a whole: both find the same in a drawing."""

from __future__ import annotations

import pytest

from adapters import registry
from adapters.errors import ReadBackError
from adapters.readback import read_back
from adapters.readers import svg
from tests.roundtrip.plans import plan

#: An attribute that changes nothing, and makes the reader read a drawing as a whole.
WHOLE = b' class="w"'


def as_a_whole(data: bytes) -> bytes:
    assert data.count(b'<g id="') >= 1
    return data.replace(b"<g id=", b"<g" + WHOLE + b" id=")


def page(data: str) -> bytes:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" '
        f'viewBox="0 0 100 60"><g id="cut"><path id="a" d="{data}"/></g></svg>'
    ).encode()


def test_a_written_plan_is_read_alike() -> None:
    data = registry.get("svg").write(plan(), {}).data
    assert svg.read(data) == svg.read(as_a_whole(data))


@pytest.mark.parametrize(
    "data",
    [
        "M1 2",
        "M1 2 Z",
        "M1 2 L3 4",
        "M1 2 L3 4 5 6 Z",
        "M-1.5 2 L-.5 0 L7 8",
        "M1 2 L3 4 L5 0 L1 2 Z",
        "M1 2 3 4 5 0Z",
        "M0 0 l5 5 l0 5",
        "M0 0 L5 0 L5 5 z",
        "M0 0 H5 V5 Z",
        "M0 0 L5 5 M9 9 L8 8",
        "M0 0 L5 5 Z L9 9",
        "M0 0 A5 5 0 0 1 10 0 L5 9 Z",
        "M1e1 2 L3 4",
    ],
)
def test_path_data_are_read_alike(data: str) -> None:
    assert svg.read(page(data)) == svg.read(as_a_whole(page(data)))


@pytest.mark.parametrize("data", ["M0 0 L10", "L5 5 M"])
def test_half_a_place_is_an_error(data: str) -> None:
    with pytest.raises(ReadBackError, match="the file cannot be read back"):
        read_back("svg", page(data), plan(), {})


def test_what_moves_a_group_is_noticed() -> None:
    data = page("M10 20 L30 20")
    (still,) = svg.read(data)
    (moved,) = svg.read(data.replace(b"<g ", b'<g transform="translate(1 0)" '))
    assert moved.start == pytest.approx((still.start.x + 1.0, still.start.y))


def test_what_hides_a_group_is_noticed() -> None:
    data = page("M10 20 L30 20").replace(b"<g ", b'<g style="display:none" ')
    with pytest.raises(ValueError, match="1 paths are in groups, 0 were read"):
        svg.read(data)

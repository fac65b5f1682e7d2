"""Outlines and orders for property tests."""

from hypothesis import strategies as st

from geometry import units
from geometry.model.outline import Outline
from geometry.shapes.catalogue import CATALOGUE, build


def example(kind: str, factor: float = 1.0) -> Outline:
    """Return a kind's example, every length enlarged by a factor."""
    values: dict[str, float | int | str] = {}
    for parameter in CATALOGUE[kind].parameters:
        text = CATALOGUE[kind].example.get(parameter.name)
        if text is None:
            continue
        if parameter.type == "length":
            values[parameter.name] = units.parse_length(text) * factor
        elif parameter.type == "angle_deg":
            values[parameter.name] = float(text)
        elif parameter.type == "count":
            values[parameter.name] = int(text)
        else:
            values[parameter.name] = text
    return build(kind, values)


kinds = st.sampled_from(sorted(CATALOGUE))
outlines = st.builds(example, kinds, st.floats(0.3, 3.0))

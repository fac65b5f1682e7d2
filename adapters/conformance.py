"""What every adapter must do, as tests that a plug-in's author runs in one line.

In a test module of the plug-in::

    from adapters.conformance import conformance_tests
    TestMyFormat = conformance_tests(my_adapter, settings={...})

The adapter needs a ``read(data)`` of its own, or be one of the built-in formats, for the tests
that follow strokes; without one those are skipped aloud.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import pytest

from adapters.contract import CONTRACT, Adapter, Written
from adapters.errors import AdapterError
from adapters.following import deviation
from adapters.readers.strokes import ReadStroke
from adapters.sample import sample_plan
from geometry.model.outline import Vertex
from geometry.model.plan import Stroke

#: What a writer could do wrong: each must be told from the right file.
MUTATIONS: Mapping[str, Callable[[Vertex], Vertex]] = {
    "inch for mm": lambda v: Vertex(v.x / 25.4, v.y / 25.4, v.bulge),
    "96 for 72 to the inch": lambda v: Vertex(v.x * 96 / 72, v.y * 96 / 72, v.bulge),
    "1016 for 1000 to the inch": lambda v: Vertex(v.x * 1.016, v.y * 1.016, v.bulge),
    "mirrored in y": lambda v: Vertex(v.x, 100.0 - v.y, -v.bulge),
    "mirrored in x": lambda v: Vertex(100.0 - v.x, v.y, -v.bulge),
    "turned half round": lambda v: Vertex(100.0 - v.x, 100.0 - v.y, v.bulge),
    "x and y swapped": lambda v: Vertex(v.y, v.x, -v.bulge),
    "bulges the other way": lambda v: v._replace(bulge=-v.bulge),
    "moved": lambda v: v._replace(x=v.x + 0.25),
}


def conformance_tests(
    adapter: Adapter,
    *,
    settings: Mapping[str, Any] | None = None,
    read: Callable[[bytes], list[ReadStroke]] | None = None,
) -> type:
    """Return a pytest class that holds an adapter to the contract.

    Args:
        adapter: the adapter.
        settings: what it needs to be told.
        read: its reader; the adapter's own ``read`` when left out.
    """
    told = dict(settings or {})
    reader = read if read is not None else getattr(adapter, "read", None)

    class Conformance:
        """An adapter held to the contract."""

        def test_it_says_what_it_is(self) -> None:
            assert isinstance(adapter, Adapter)
            assert adapter.contract == CONTRACT
            assert adapter.name.isidentifier()
            assert adapter.name == adapter.name.lower()
            assert "/" in adapter.media_type
            assert not adapter.extension.startswith(".")
            assert adapter.resolution > 0.0

        def test_it_hands_back_bytes_and_words(self) -> None:
            written = adapter.write(sample_plan(), told)
            assert isinstance(written, Written)
            assert isinstance(written.data, bytes)
            assert written.data
            assert all(isinstance(loss, str) for loss in written.losses)

        def test_the_same_plan_gives_the_same_bytes(self) -> None:
            first, second = (adapter.write(sample_plan(), told) for _ in range(2))
            assert first == second

        def test_it_lists_what_it_loses(self) -> None:
            if "stops" not in adapter.keeps:
                assert adapter.write(sample_plan(), told).losses

        @pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
        def test_it_refuses_numbers_that_are_none(self, value: float) -> None:
            stroke = Stroke("cut", (Vertex(0.0, 0.0), Vertex(value, 1.0), Vertex(1.0, 1.0)), True)
            with pytest.raises(AdapterError):
                adapter.write(replace(sample_plan(), strokes=(stroke,)), told)

        def test_it_refuses_settings_it_does_not_know(self) -> None:
            with pytest.raises(AdapterError):
                adapter.write(sample_plan(), {**told, "no_such_setting": 1})

        def test_odd_texts_do_not_break_out(self) -> None:
            odd = 'x") ; */ --> & <a> \x03 \n ] é 海' + "y" * 500
            plan = sample_plan()
            strokes = tuple(replace(stroke, piece=odd) for stroke in plan.strokes)
            stops = tuple(replace(stop, message=odd) for stop in plan.stops)
            named = replace(plan, title=odd, strokes=strokes, stops=stops)
            data = adapter.write(named, told).data
            if reader is not None:
                assert len(reader(data)) == len(plan.strokes)

        def test_an_empty_and_a_large_plan_are_written(self) -> None:
            assert isinstance(adapter.write(replace(sample_plan(), strokes=()), told).data, bytes)
            many = replace(sample_plan(), strokes=(sample_plan().strokes[3],) * 2000, stops=())
            assert adapter.write(many, told).data

        def test_every_stroke_is_read_back_in_order(self) -> None:
            if reader is None:
                pytest.skip(f"{adapter.name} has no reader: its strokes were NOT followed")
            plan = sample_plan()
            strokes = reader(adapter.write(plan, told).data)
            assert len(strokes) == len(plan.strokes)
            for found, wanted in zip(strokes, plan.strokes, strict=True):
                assert deviation(found, wanted) <= adapter.resolution
            if "operations" in adapter.keeps:
                groups = [found.group for found in strokes]
                assert groups[0] != groups[1] != groups[3]

        @pytest.mark.parametrize("mutation", MUTATIONS)
        def test_a_wrong_file_would_be_seen(self, mutation: str) -> None:
            if reader is None:
                pytest.skip(f"{adapter.name} has no reader: mutations were NOT tried")
            plan = sample_plan()
            try:
                data = adapter.write(plan.with_vertices(MUTATIONS[mutation]), told).data
            except AdapterError:
                return
            strokes = reader(data)
            off = [
                deviation(found, wanted)
                for found, wanted in zip(strokes, plan.strokes, strict=False)
            ]
            assert len(strokes) != len(plan.strokes) or max(off) > adapter.resolution

    Conformance.__name__ = f"Test{adapter.name.title()}Conformance"
    return Conformance

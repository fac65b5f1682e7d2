"""The class of conformance tests; ``adapters.conformance`` registers it with pytest first."""

from __future__ import annotations

import contextlib
import math
import warnings
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, ClassVar

import pytest

from adapters.confined_write import WriteOutcome, write_confined
from adapters.contract import CONTRACT, MAX_RESOLUTION, Adapter, Written
from adapters.errors import AdapterError
from adapters.mutations import mutations
from adapters.readback import allowed_by, read_by, reader_for
from adapters.readers.strokes import ReadStroke
from adapters.sample import sample_plan
from adapters.silent_losses import silent_loss
from adapters.stop_faults import stop_fault
from adapters.stroke_faults import fault_of
from adapters.wrong_settings import setting_fault, wrong_settings
from geometry.model.cutter import WorkArea
from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan, Stroke

#: A square of a third of a millimetre: small steps must not vanish.
TINY = tuple(
    Vertex(50.0 + x, 50.0 + y) for x, y in ((0.0, 0.0), (0.3, 0.0), (0.3, 0.3), (0.0, 0.3))
)


Reader = Callable[[bytes, CutPlan], Sequence[ReadStroke]]


@dataclass(frozen=True)
class _TestedAdapter:
    """An adapter, and what it is tested with.

    Args:
        adapter: the adapter.
        stated: its settings.
        reader: reads its files; ``None`` where nothing does.
        allowed: deviation of a file from its plan that the adapter states, mm.
    """

    __test__ = False

    adapter: Adapter
    stated: Mapping[str, Any]
    reader: Reader | None
    allowed: float

    @cached_property
    def confined(self) -> WriteOutcome:
        """Write once in a process that is as confined as a plug-in's."""
        return write_confined(self.adapter, sample_plan(), self.stated)


class _ConformanceTests:
    """Tests an adapter against the contract; a subclass states which."""

    tested: ClassVar[_TestedAdapter]

    @pytest.fixture(autouse=True)
    def _hanging(self) -> None:
        """Fail all tests of a writer that hangs: they would hang, too."""
        if self.tested.confined.hangs:
            pytest.fail(f"{self.tested.adapter.name}: {self.tested.confined.fault}", pytrace=False)

    def test_it_writes_when_confined(self) -> None:
        fault = self.tested.confined.fault
        assert not fault, f"in a process as confined as the service's, write() {fault}"
        if not self.tested.confined.is_confined:
            pytest.skip("this kernel has no Landlock: files and network were NOT closed")

    def test_it_says_what_it_is(self) -> None:
        assert isinstance(self.tested.adapter, Adapter)
        assert self.tested.adapter.contract == CONTRACT
        assert self.tested.adapter.name.isidentifier()
        assert self.tested.adapter.name == self.tested.adapter.name.lower()
        assert "/" in self.tested.adapter.media_type
        assert not self.tested.adapter.extension.startswith(".")
        assert 0.0 < self.tested.adapter.resolution <= MAX_RESOLUTION
        assert 0.0 < self.tested.allowed <= MAX_RESOLUTION

    def test_it_returns_bytes_and_sentences(self) -> None:
        written = self.tested.adapter.write(sample_plan(), self.tested.stated)
        assert isinstance(written, Written)
        assert isinstance(written.data, bytes)
        assert written.data
        assert all(isinstance(loss, str) for loss in written.losses)

    def test_the_same_plan_gives_the_same_bytes(self) -> None:
        first, second = (
            self.tested.adapter.write(sample_plan(), self.tested.stated) for _ in range(2)
        )
        assert first == second

    def test_it_lists_what_it_loses(self) -> None:
        plan, reader = sample_plan(), self.tested.reader
        written = self.tested.adapter.write(plan, self.tested.stated)
        found = None if reader is None else reader(written.data, plan)
        if found is not None and len(found) != len(plan.strokes):
            # Another test says so.
            found = None
        supports, allowed = self.tested.adapter.supports, self.tested.allowed
        fault = silent_loss(supports, plan, written.losses, found, allowed=allowed)
        assert not fault, f"{self.tested.adapter.name} {fault}"

    def test_stops_that_it_keeps_are_in_the_file(self) -> None:
        plan = sample_plan()
        bare = self.tested.adapter.write(replace(plan, stops=()), self.tested.stated).data
        later = replace(plan, stops=(plan.stops[0], replace(plan.stops[1], before_stroke=6)))
        if "stops" in self.tested.adapter.supports:
            files = {
                bare,
                self.tested.adapter.write(plan, self.tested.stated).data,
                self.tested.adapter.write(later, self.tested.stated).data,
            }
            assert len(files) == 3  # noqa: PLR2004 - without, here, and there
            assert not (fault := self.stops_read_by_ours(plan)), fault

    def stops_read_by_ours(self, plan: CutPlan) -> str:
        """Return what our reader finds wrong with the stops, where it reads these files."""
        by = reader_for(self.tested.adapter.extension)
        if by is None or callable(getattr(self.tested.adapter, "read", None)):
            return ""
        data = self.tested.adapter.write(plan, self.tested.stated).data
        stops = read_by(by, data, plan, {}).stops
        return "" if stops is None else stop_fault(stops, plan, with_words=False)

    @pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
    def test_it_refuses_numbers_that_are_not_finite(self, value: float) -> None:
        stroke = Stroke("cut", (Vertex(0.0, 0.0), Vertex(value, 1.0), Vertex(1.0, 1.0)), True)
        plan = replace(sample_plan(), strokes=(stroke,))
        if not self.refused(plan, self.tested.stated):
            _advise(f"{self.tested.adapter.name} writes a coordinate that is {value}")

    def test_it_refuses_settings_it_does_not_know(self) -> None:
        if not self.refused(sample_plan(), {**self.tested.stated, "no_such_setting": 1}):
            _advise(f"{self.tested.adapter.name} takes a setting that it does not have")

    def refused(self, plan: CutPlan, settings: Mapping[str, Any]) -> bool:
        """Return whether the adapter raises an error of its own."""
        try:
            self.tested.adapter.write(plan, settings)
        except AdapterError:
            return True
        except Exception:  # noqa: BLE001 - the service never sends it this
            return False
        return False

    def test_it_refuses_wrong_values_of_settings(self) -> None:
        faults = [
            (is_wrong, fault)
            for name, values in wrong_settings(self.tested.adapter.settings).items()
            for value, is_wrong in values
            if (
                fault := setting_fault(
                    self.tested.adapter, self.tested.stated, name, value, is_wrong=is_wrong
                )
            )
        ]
        for is_wrong, fault in faults:
            if is_wrong:
                _advise(fault)
        assert not (of_right := [fault for wrong, fault in faults if not wrong]), of_right

    def test_odd_texts_do_not_break_out(self) -> None:
        odd = 'x") ; */ --> & <a> \x03 \n ] é 海' + "y" * 500
        plan = sample_plan()
        strokes = tuple(replace(stroke, piece=odd) for stroke in plan.strokes)
        stops = tuple(replace(stop, message=odd) for stop in plan.stops)
        named = replace(plan, title=odd, strokes=strokes, stops=stops)
        data = self.tested.adapter.write(named, self.tested.stated).data
        if self.tested.reader is not None:
            assert len(self.tested.reader(data, named)) == len(plan.strokes)

    def test_an_empty_plan_is_written(self) -> None:
        assert isinstance(
            self.tested.adapter.write(replace(sample_plan(), strokes=()), self.tested.stated).data,
            bytes,
        )

    def test_a_plan_of_many_strokes_is_written(self) -> None:
        many = replace(sample_plan(), strokes=(sample_plan().strokes[3],) * 2000, stops=())
        data = self.tested.adapter.write(many, self.tested.stated).data
        if self.tested.reader is not None:
            assert len(self.tested.reader(data, many)) == len(many.strokes)

    def test_a_tiny_outline_is_right(self) -> None:
        self.follow(replace(sample_plan(), strokes=(Stroke("cut", TINY, closed=True),), stops=()))

    def test_a_wide_plan_is_right_or_refused(self) -> None:
        far = sample_plan().with_vertices(lambda v: v._replace(x=v.x + 4000.0, y=v.y + 700.0))
        area = WorkArea.rectangle(0.0, 0.0, 4100.0, 800.0)
        # A format whose numbers cannot reach that far must raise an error.
        with contextlib.suppress(AdapterError):
            self.follow(replace(far, bed_width=4100.0, bed_height=800.0, work_area=area))

    def follow(self, plan: CutPlan) -> None:
        """Write a plan, read the file, and compare the strokes."""
        data = self.tested.adapter.write(plan, self.tested.stated).data
        if self.tested.reader is None:
            pytest.skip(f"{self.tested.adapter.name} has no reader: its strokes were NOT compared")
        fault = fault_of(self.tested.reader(data, plan), plan, self.tested.allowed)
        assert not fault, fault

    def test_every_stroke_is_read_back_in_order(self) -> None:
        self.follow(sample_plan())
        if "operations" in self.tested.adapter.supports and self.tested.reader is not None:
            found = self.tested.reader(
                self.tested.adapter.write(sample_plan(), self.tested.stated).data, sample_plan()
            )
            groups = [stroke.group for stroke in found]
            assert groups[0] != groups[1] != groups[3]
            assert groups[2] == groups[3] == groups[4]

    @pytest.mark.parametrize("mutation", mutations(1.0))
    def test_a_wrong_file_would_be_seen(self, mutation: str) -> None:
        if self.tested.reader is None:
            pytest.skip(f"{self.tested.adapter.name} has no reader: mutations were NOT tested")
        plan = sample_plan()
        wrong = mutations(self.tested.allowed)[mutation](plan)
        try:
            data = self.tested.adapter.write(wrong, self.tested.stated).data
        except AdapterError:
            return
        # The file holds the wrong plan; its reader may refuse it, or find it different.
        try:
            found = self.tested.reader(data, plan)
        except Exception:  # noqa: BLE001 - whatever it raises, the file is refused
            return
        assert fault_of(found, plan, self.tested.allowed), (
            f"read() finds nothing wrong with a file of another plan ({mutation})"
        )


def _advise(text: str) -> None:
    """Warn of what the service never lets an adapter do: settings and plans are checked before."""
    warnings.warn(f"{text}; the service refuses that itself", stacklevel=3)


def conformance_tests(
    adapter: Adapter,
    *,
    settings: Mapping[str, Any] | None = None,
    read: Callable[[bytes], Sequence[ReadStroke]] | None = None,
) -> type:
    """Return a pytest class that tests an adapter against the contract.

    Args:
        adapter: the adapter.
        settings: its settings.
        read: a reader of the file alone, instead of the adapter's own.
    """
    stated = dict(settings or {})
    reader = _reader(adapter, stated, read)
    tested = _TestedAdapter(adapter, stated, reader, allowed_by(adapter, stated))
    name = f"Test{adapter.name.title()}Conformance"
    return type(name, (_ConformanceTests,), {"tested": tested})


def _reader(
    adapter: Adapter,
    settings: Mapping[str, Any],
    read: Callable[[bytes], Sequence[ReadStroke]] | None,
) -> Reader | None:
    """Return what reads an adapter's files, as the service chooses it."""
    if read is not None:
        return lambda data, _: read(data)
    own = getattr(adapter, "read", None)
    if callable(own):
        return lambda data, plan: list(own(data, plan, dict(settings)))
    ours = reader_for(adapter.extension)
    if ours is None:
        return None
    return lambda data, plan: read_by(ours, data, plan, {}).strokes

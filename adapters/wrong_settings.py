"""Tries wrong values of an adapter's declared settings."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from adapters.contract import Adapter, Setting
from adapters.errors import CannotHoldError, SettingError
from adapters.sample import sample_plan


def wrong_settings(specs: Iterable[Setting]) -> Mapping[str, list[tuple[Any, bool]]]:
    """Return values of each setting by its name, and whether they are wrong or may be."""
    return {
        spec.name: [*((value, True) for value in _wrong(spec)), *((x, False) for x in _odd(spec))]
        for spec in specs
    }


def setting_fault(
    adapter: Adapter, stated: Mapping[str, Any], name: str, value: object, *, is_wrong: bool
) -> str:
    """Return what is wrong with how an adapter takes a value; empty if nothing is."""
    called = f"write(plan, {{{name!r}: {value!r}}})"
    try:
        adapter.write(sample_plan(), {**stated, name: value})
    except SettingError as error:
        if error.setting in {spec.name for spec in adapter.settings}:
            return ""
        return f"{called} raised SettingError with setting={error.setting!r}, which is none of its"
    except CannotHoldError as error:
        # A value in its range may leave no room for the sample plan.
        return f"{called} raised CannotHoldError: {error}, and not SettingError" if is_wrong else ""
    except Exception as error:  # noqa: BLE001 - the service would answer that the plug-in failed
        return f"{called} raised {type(error).__name__}: {error}, and not SettingError"
    return f"{called} raised nothing; SettingError was expected" if is_wrong else ""


def _wrong(spec: Setting) -> Iterator[Any]:
    yield None
    if spec.type == "number":
        yield from ("many", True)
        if math.isfinite(spec.minimum):
            yield spec.minimum - 1
        if math.isfinite(spec.maximum):
            yield spec.maximum + 1
        if spec.choices:
            yield 1 + max(map(float, spec.choices))
    elif spec.type == "choice":
        yield from ("no such choice", 1)
    elif spec.type == "text":
        yield from (1, "two\nlines")
        if math.isfinite(spec.maximum):
            yield "m" * (int(spec.maximum) + 1)
    elif spec.type == "flag":
        yield "yes"
    else:
        yield from ("cut", {"no such layer": 1})


def _odd(spec: Setting) -> Iterator[Any]:
    """Yield a fraction in the range of a number: whole numbers are the adapter's own to ask for."""
    if spec.type == "number" and not spec.choices and math.isfinite(spec.minimum):
        yield min(spec.minimum + 0.5, spec.maximum)

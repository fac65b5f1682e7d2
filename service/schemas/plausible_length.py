"""A length that lies in a range of plausible values: outside of it another unit was meant."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from geometry.model.plausible import Range
from service.schemas.errors import unusable
from service.schemas.fields import Length, exact_mm


class PlausibleLength(Length):
    """A length that is read, in a range of mm."""

    def __init__(
        self,
        allowed: Range,
        *,
        metadata: Mapping[str, Any] | None = None,
        **kwargs: Any,  # noqa: ANN401 - passed on to the field
    ) -> None:
        self._allowed = allowed
        described = dict(metadata or {})
        words = described.get("description")
        described["description"] = f"{words}; {allowed.words}" if words else allowed.words
        super().__init__(metadata=described, **kwargs)

    def _within(self, value: float) -> float:
        allowed = self._allowed
        if not allowed.low <= value <= allowed.high:
            # No unit makes a length of what is 0 or negative.
            hint = " Was another unit meant?" if value > 0.0 else ""
            raise unusable(
                f"A {allowed.what} lies between {allowed.low:g} and {allowed.high:g} mm; it is "
                f"{exact_mm(value)}.{hint}"
            )
        return value

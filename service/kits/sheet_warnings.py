"""Where a kit's warnings stand on its run sheet: beside what they are about."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from service.runs.notices import Notice, noted
from service.schemas.units_in_text import in_one_unit
from service.texts import gettext as _

#: What a warning says to the sender of a request alone: a member and its value, in brackets.
_REQUEST_WORDS = re.compile(r' \("\w+": [^()]*\)')
#: Corners by the numbers that a request has for them, before their angle.
_CORNERS = re.compile(r"\bcorners? (\d+(?:, \d+)*(?: and \d+)?) (?=\()")

#: The force of a press in both units.
_FORCE = re.compile(r"([\d,.]+) lbf \(([\d,.]+) kN\)")
_LBF_PER_TON = 2000.0


class SheetWarnings:
    """A kit's warnings, sorted by where they are read."""

    def __init__(self, warnings: Iterable[str], *, units: str, second: str = "") -> None:
        notices = [noted(each) for each in warnings]

        def in_one(text: str) -> str:
            return _with_force(in_one_unit(text), units)

        # An answer states the millimetres of a blade or a beam, which a caller may know in them.
        self._notices = [each if second else each.worded(in_one) for each in notices]

    def of_kit(self) -> tuple[str, ...]:
        """Return those about the whole kit."""
        return self._those(lambda each: not each.runs and not each.for_office)

    def of_run(self, run: int) -> tuple[str, ...]:
        """Return those about a run as a whole."""
        return self._those(lambda each: run in each.runs and not each.loads and not each.for_office)

    def of_load(self, run: int, load: int) -> tuple[str, ...]:
        """Return those about a load."""
        return self._those(
            lambda each: run in each.runs and load in each.loads and not each.for_office
        )

    def for_office(self) -> tuple[str, ...]:
        """Return those about formats and the request, which nobody changes at the bench."""
        return tuple(_for_people(each) for each in self._notices if each.for_office)

    def _those(self, are_meant: Callable[[Notice], bool]) -> tuple[str, ...]:
        return tuple(_at_its_place(each) for each in self._notices if are_meant(each))


def _with_force(text: str, units: str) -> str:
    """Return a warning with a press's force in the units of the sheet alone."""

    def one(found: re.Match[str]) -> str:
        if units != "in":
            return f"{found[2]} kN"
        # Presses are rated in tons of 2000 lbf.
        tons = float(found[1].replace(",", "")) / _LBF_PER_TON
        return _("{force} lbf, {tons} short tons", force=found[1], tons=f"{tons:.3g}")

    return _FORCE.sub(one, text)


def _at_its_place(notice: Notice) -> str:
    """Return a warning without the run and load under whose headings it stands."""
    return _for_people(notice.bare if notice.runs else str(notice))


def _for_people(text: str) -> str:
    """Return a warning without the members of a request, and with corners by their number."""
    return _CORNERS.sub(_how_many, _REQUEST_WORDS.sub("", text))


def _how_many(corners: re.Match[str]) -> str:
    """Return how many corners a list names: at the bench none has a number."""
    count = len(re.findall(r"\d+", corners[1]))
    return f"{count} corner " if count == 1 else f"{count} corners "

"""A kit's quote for the shop's customer: what they get, and its price; no costs, no margin."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from service.answers.quotes import QuoteAnswer
from service.documents.model import BagItem
from service.documents.page import Page, Section
from service.pieces.model import Kit

#: The answer lists a material without a price as "run 1: NAME", with or without "whose price ...".
_RUN, _WHY = ": ", ", whose price"
#: Entries of ``not_priced`` that are not goods, so that a customer need not read them.
_NOT_FOR_CUSTOMERS = ("margin",)


def quote_page(kit: Kit, quote: QuoteAnswer, bag: Sequence[BagItem]) -> Page:
    """Return the page of a quote.

    Args:
        kit: what is quoted.
        quote: as the answer states it.
        bag: what one copy holds.
    """
    ticket = kit.ticket
    known = (("Quote", ticket.number), ("Your order", ticket.reference), ("Date", ticket.date))
    holds = "The kit holds" if kit.copies == 1 else f"Each of {kit.copies} kits holds"
    return Page(
        title=kit.title,
        paper="letter" if kit.units == "in" else "a4",
        number=ticket.number,
        sections=(
            Section(facts=tuple(each for each in known if each[1])),
            Section(holds, items=tuple(f"{each.count}: {each.about}" for each in bag)),
            Section("Price", amounts=tuple(_amounts(kit.copies, quote))),
            Section(items=tuple(_notes(kit.copies, quote))),
        ),
    )


def _amounts(copies: int, quote: QuoteAnswer) -> Iterator[tuple[str, str]]:
    price, currency = quote.price, quote.currency
    if copies == 1:
        yield "1 kit", f"{price.per_batch} {currency}"
        return
    yield f"{copies} kits", f"{price.per_batch} {currency}"
    yield "Each kit", f"{price.per_copy} {currency}"


def _notes(copies: int, quote: QuoteAnswer) -> Iterator[str]:
    yield "Tax is not included."
    if copies > 1:
        yield "The price of each kit is rounded; the price of all kits counts."
    missing = [_customer_words(each) for each in quote.not_priced]
    named = dict.fromkeys(each for each in missing if each not in _NOT_FOR_CUSTOMERS)
    if named:
        yield f"Not included in the price: {', '.join(named)}."
    weight = quote.weight
    if weight is not None:
        unknown = dict.fromkeys(_customer_words(each) for each in weight.not_weighed)
        yield (
            f"Weight: about {_grams(weight.per_copy_g)} each, "
            f"{_grams(weight.per_batch_g)} in all, without packaging"
            f"{f' and without {_listed(unknown)}' if unknown else ''}."
        )


def _customer_words(text: str) -> str:
    """Return the material's name alone where the answer names a run."""
    if not text.startswith("run "):
        return text
    return text.partition(_RUN)[2].partition(_WHY)[0]


def _listed(names: Mapping[str, None]) -> str:
    return ", ".join(names)


def _grams(grams: float) -> str:
    return f"{grams:g} g" if grams < 1000.0 else f"{grams / 1000.0:.2f} kg"  # noqa: PLR2004 - a kg

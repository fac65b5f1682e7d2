"""A kit's quote for the shop's customer: what they get, and its price; no costs, no margin."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from service.answers.quotes import QuoteAnswer
from service.documents.model import BagItem
from service.documents.page import Page, PageSection
from service.pieces.model import Kit
from service.texts import gettext as _

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
    known = (
        (_("Quote"), ticket.number),
        (_("Your order"), ticket.reference),
        (_("Date"), ticket.date),
    )
    holds = (
        _("The kit holds")
        if kit.copies == 1
        else _("Each of {copies} kits holds", copies=kit.copies)
    )
    return Page(
        title=kit.title,
        paper="letter" if kit.units == "in" else "a4",
        number=ticket.number,
        sections=(
            PageSection(facts=tuple(each for each in known if each[1])),
            PageSection(holds, items=tuple(f"{each.count}: {each.about}" for each in bag)),
            PageSection(_("Price"), amounts=tuple(_amounts(kit.copies, quote))),
            PageSection(items=tuple(_notes(kit.copies, quote))),
        ),
    )


def _amounts(copies: int, quote: QuoteAnswer) -> Iterator[tuple[str, str]]:
    price, currency = quote.price, quote.currency
    if copies == 1:
        yield _("1 kit"), f"{price.per_batch} {currency}"
        return
    yield _("{copies} kits", copies=copies), f"{price.per_batch} {currency}"
    yield _("Each kit"), f"{price.per_copy} {currency}"


def _notes(copies: int, quote: QuoteAnswer) -> Iterator[str]:
    yield _("Tax is not included.")
    if copies > 1:
        yield _("The price of each kit is rounded; the price of all kits counts.")
    missing = [_customer_words(each) for each in quote.not_priced]
    named = dict.fromkeys(each for each in missing if each not in _NOT_FOR_CUSTOMERS)
    if named:
        yield _("Not included in the price: {goods}.", goods=", ".join(named))
    weight = quote.weight
    if weight is not None:
        unknown = dict.fromkeys(_customer_words(each) for each in weight.not_weighed)
        each, in_all = _grams(weight.per_copy_g), _grams(weight.per_batch_g)
        if unknown:
            yield _(
                "Weight: about {each} each, {in_all} in all, without packaging and without "
                "{goods}.",
                each=each,
                in_all=in_all,
                goods=_listed(unknown),
            )
        else:
            yield _(
                "Weight: about {each} each, {in_all} in all, without packaging.",
                each=each,
                in_all=in_all,
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

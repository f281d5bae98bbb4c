"""A quote as the couple is told it: on their page, in a letter and on paper the same sentences and the same amounts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from haulm.advice.certainty import certainty
from haulm.farm.quantities import percent
from haulm.farm.site import Letterhead
from haulm.farm.weeks import day_in_words
from haulm.farm.words import OrderStatus
from haulm.jobs.desk.money_words import money_words
from haulm.jobs.promises.show_quote import QuoteSheet
from haulm.jobs.quotes.places_in_words import SOWN, WISH, PlaceWords, places_in_words
from haulm.jobs.quotes.sheet_price import SheetPrice
from haulm.jobs.quotes.version import Largest
from haulm.language.words import _, many, marked

OPEN = (OrderStatus.QUOTED, OrderStatus.ON_HOLD, OrderStatus.CONTRACTED)
_OFFERS = (OrderStatus.QUOTED, OrderStatus.ON_HOLD)
_TITLES = {
    "contracted": marked("Your flowers, as agreed"),
    "delivered": marked("Your flowers"),
    "cancelled": marked("A quote that is cancelled"),
}
_STANDS = {
    "contracted": marked("This is agreed between us."),
    "delivered": marked("These flowers have left the farm."),
    "cancelled": marked("This quote is cancelled."),
    "lapsed": marked("The hold on these flowers has lapsed; ask us for a new quote."),
}


@dataclass(frozen=True, slots=True)
class ToldQuote:
    """What a couple is told of the version of their quote that stands.

    Attributes:
        title: what this is, offer or agreement.
        stands: how long it stands, or what has become of it.
        summary: what was asked, and one sentence for the whole.
        largest: the largest size that may be promised, where it is not told in places; or empty.
        places: what is promised, sown for, wished, and beyond the field; none where all is in one place.
        price: the parts that cost something, which add up to the total: their names and amounts.
        total: the total; empty where nothing has a price.
        without: what it costs without what is sown for; or empty.
        spare: what the spare is; or empty.
        dates: deposit, final numbers, the day on which the flowers leave.
        agreed: what is paid beforehand, what else is agreed, and where money goes, word for word as the farm has it.
    """

    title: str
    stands: str
    summary: str
    largest: str
    places: tuple[PlaceWords, ...]
    price: tuple[tuple[str, str], ...]
    total: str
    without: str
    spare: str
    dates: tuple[str, ...]
    agreed: tuple[str, ...]


def told_quote(sheet: QuoteSheet, papers: Letterhead) -> ToldQuote:
    """What a couple is told of their quote.

    Args:
        sheet: the quote.
        papers: what the farm calls its tax.
    """
    price, found = _in_total(sheet), sheet.version
    return ToldQuote(
        title=_(_TITLES.get(sheet.status, marked("Quote for your flowers"))),
        stands=_stands(sheet),
        summary=_summary(sheet),
        largest="" if found.largest is None or found.places is not None else _largest(found.largest),
        places=tuple(_places(sheet)),
        price=() if price is None else tuple(_price(price, sheet.currency, papers)),
        total="" if price is None else money_words(price.total_minor, sheet.currency),
        without=_without(sheet),
        spare=_spare(sheet),
        dates=tuple(_dates(sheet)),
        agreed=tuple(text for text in (papers.deposit, papers.terms, papers.bank) if text),
    )


def tax_label(papers: Letterhead, percent_asked: float) -> str:
    """What the tax is called: by the farm's own name for it."""
    return f"{papers.tax_name or _('Tax')}, {percent_asked:g} %"


def _stands(sheet: QuoteSheet) -> str:
    if sheet.status in _STANDS:
        return _(_STANDS[sheet.status])
    return _("This offer stands through {day}.").format(day=day_in_words(sheet.version.valid_until))


def _is_in_parts(sheet: QuoteSheet) -> bool:
    """Whether it is an offer of which only some may be promised today."""
    places = sheet.version.places
    return sheet.status == OrderStatus.QUOTED and places is not None and not places.is_all_promised


def _places(sheet: QuoteSheet) -> Sequence[PlaceWords]:
    """The places of an offer; of what is held or agreed, those that are open still."""
    places = sheet.version.places
    if places is None or places.is_all_promised or sheet.status not in OPEN:
        return ()
    found = places_in_words(places, sheet.currency)
    if _is_in_parts(sheet):
        return found
    return [one for one in found if one.name == WISH or (one.name == SOWN and sheet.may_sow)]


def _in_total(sheet: QuoteSheet) -> SheetPrice | None:
    """The price that adds up to the total: of an offer in parts, that of what is promised and sown for."""
    places = sheet.version.places
    if places is None or not _is_in_parts(sheet):
        return sheet.version.price
    return sheet.version.offered if places.sown is None else places.sown.price


def _without(sheet: QuoteSheet) -> str:
    places = sheet.version.places
    if places is None or places.sown is None or places.promised is None or not _is_in_parts(sheet):
        return ""
    alone = money_words(places.promised.price.total_minor, sheet.currency)
    return _("That is with what we sow for you; without it, {amount}. A wish is in neither.").format(amount=alone)


def _summary(sheet: QuoteSheet) -> str:
    found = sheet.version
    stems = many("{count} stem", "{count} stems", found.stems)
    asked = _("{stems} and {spare} spare").format(stems=stems, spare=f"{found.spare:,}")
    if _is_in_parts(sheet):
        return _("You asked for {asked}. Not all of it can be promised; it falls into these places.").format(
            asked=asked
        )
    if sheet.status not in _OFFERS:
        return f"{asked}."  # of what is agreed the grower tells when there is something to tell
    return _("{asked}. All of it together comes {summers}.").format(asked=asked, summers=sheet.certainty)


def _largest(found: Largest) -> str:
    """The largest size in words; how sure it is in summers, where the farm's own sentence has a share."""
    own = f" ({percent(found.order_confidence)} for all of it at once)."
    if not found.sentence.endswith(own):
        return found.sentence
    return _("{size}; it comes {summers}.").format(
        size=found.sentence.removesuffix(own), summers=certainty(found.order_confidence)
    )


def _spare(sheet: QuoteSheet) -> str:
    found = sheet.version
    if not found.spare:
        return ""
    who = _("You arrange the flowers yourselves, so there is more spare.") + " " if found.own_arranging else ""
    share = f" ({found.spare_percent:g} %)" if found.spare_percent else ""
    said = _("Spare is for breakage{share}; how sure we are is said of the stems without it.").format(share=share)
    return f"{who}{said}"


def _price(price: SheetPrice, currency: str, papers: Letterhead) -> Iterator[tuple[str, str]]:
    """The parts that cost something; they add up to the total."""
    labour = _("Making, {hours} h {minutes} min").format(
        hours=price.labour_minutes // 60, minutes=f"{price.labour_minutes % 60:02d}"
    )
    parts = (
        (_("Stems"), price.stems_minor),
        (_("Spare"), price.spare_minor),
        (labour, price.labour_minor),
        (_("Delivery"), price.delivery_minor),
        (_("Seed sown for you"), price.seed_minor),
        (tax_label(papers, price.tax_percent), price.tax_minor),
    )
    yield from ((part, money_words(amount, currency)) for part, amount in parts if amount)


def _dates(sheet: QuoteSheet) -> Iterator[str]:
    if sheet.hold_until is not None and sheet.status == OrderStatus.ON_HOLD:
        yield _("The stems are held for you through {day}.").format(day=day_in_words(sheet.hold_until))
    if sheet.deposit is not None:
        amount = money_words(sheet.deposit.amount_minor, sheet.currency)
        yield _("Deposit of {amount} noted on {day}.").format(amount=amount, day=day_in_words(sheet.deposit.on))
    if sheet.final_numbers_date is not None:
        day = day_in_words(sheet.final_numbers_date)
        if sheet.final_numbers_given:
            yield _("We have your final numbers; they are due by {day}.").format(day=day)
        else:
            yield _("Please give us your final numbers; they are due by {day}.").format(day=day)
    yield _("The flowers leave the farm on {day}.").format(day=day_in_words(sheet.version.due_date))

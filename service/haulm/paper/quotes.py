"""The quote that a couple can read: plain words, how sure in words, and what was agreed to be said."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from fastapi import APIRouter

from haulm.advice.asked_words import asked_in_words
from haulm.advice.certainty import certainty
from haulm.advice.homes import homes_in_words
from haulm.farm.quantities import percent
from haulm.farm.site import Letterhead
from haulm.farm.words import Home, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.money_words import money_words
from haulm.jobs.promises.show_quote import CUSTOMERS_NOTES, QuoteSheet, show_quote
from haulm.jobs.quotes.places_in_words import SOWN, WISH, PlaceWords, places_in_words
from haulm.jobs.quotes.sheet_price import SheetPrice
from haulm.jobs.quotes.version import SheetLine, SheetPiece
from haulm.language.words import _, marked
from haulm.paper.letterhead import agreed, sender, tax_label
from haulm.paper.press import pressed
from haulm.paper.sending import PDF, PaperAnswer, PaperDesk, PaperSize, sent
from haulm.paper.words import day, stems_words, warned_rows
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["paper"], prefix="/paper", dependencies=[only_for(Audience.OWNER)])
_ONLY_STANDS = {
    "contracted": marked("This is agreed between us."),
    "delivered": marked("These flowers have left the farm."),
    "cancelled": marked("This quote is cancelled."),
    "lapsed": marked("The hold on these flowers has lapsed; ask us for a new quote."),
}
_LEGEND = marked(
    "How sure: we expect to have these = 9 seasons in 10 or more; likely = 7 to 9 in 10, "
    "with a stand-in named; hoped for = fewer than 7 in 10."
)
_OPEN = (OrderStatus.QUOTED, OrderStatus.ON_HOLD, OrderStatus.CONTRACTED)
_NO_STAND_IN = marked("Nothing is to stand in for what is named.")


@router.get("/quotes/{quote}.pdf", response_class=PaperAnswer, responses=PDF)
def quote_paper(desk: PaperDesk, quote: str, size: PaperSize = PaperSize.A4) -> PaperAnswer:
    """The version of a quote that stands, as a paper for the couple."""
    sheet = show_quote(desk, quote)
    return sent(pressed("quote", _data(desk, sheet, size)), f"quote-version-{sheet.version.number}")


def _data(desk: Desk, sheet: QuoteSheet, size: str) -> dict[str, Any]:
    found = sheet.version
    crops, papers = desk.plan().crops, desk.store.farm().site.papers
    return {
        **_priced(sheet, papers),
        "title": _("Quote for your flowers"),
        "farm": sheet.farm,
        "sender": sender(papers),
        "agreed": agreed(papers),
        "size": size,
        "customer": sheet.customer_name,
        "number": sheet.number,
        "version": str(found.number),
        "made_on": day(found.made_on),
        "event": day(found.event_date),
        "leaves": day(found.due_date),
        "validity": _validity(sheet),
        "summary": _summary(sheet),
        "largest": "" if found.largest is None or found.places is not None else found.largest.sentence,
        "changed": list(found.changed),
        "pieces": [_piece(piece) for piece in found.pieces],
        "palette": found.palette or _(" and ").join(found.colours),
        "substitutes": _(_NO_STAND_IN) + " " if found.no_substitute else "",
        "lines": [_line(line) for line in found.lines],
        "legend": _(_LEGEND),
        "no_go": ", ".join(asked_in_words(key, crops) for key in found.unacceptable),
        "spare": _spare(sheet),
        "remarks": list(found.remarks),
        "dates": list(_dates(sheet)),
        "clause": _(sheet.substitution_clause),
        "cautions": [] if found.take_care else list(found.cautions),
        "take_care": warned_rows(care.warned for care in found.take_care),
        "general": [],
        "at_home": homes_in_words(map(Home, found.homes)),
        "home_warnings": list(found.home_warnings),
        "notes": [_(note) for note in CUSTOMERS_NOTES],
    }


def _validity(sheet: QuoteSheet) -> str:
    """Whether it stands, and until when."""
    if sheet.status in _ONLY_STANDS:
        return _(_ONLY_STANDS[sheet.status])
    return _("This offer stands through {day}.").format(day=day(sheet.version.valid_until))


def _priced(sheet: QuoteSheet, papers: Letterhead) -> dict[str, Any]:
    """The places with their prices, and the price in its parts."""
    price = _in_total(sheet)
    return {
        "places": [
            {"name": _(one.name), "price": one.price, "sentence": one.sentence, "parts": list(one.parts)}
            for one in _places(sheet)
        ],
        "price": [] if price is None else list(_price(price, sheet.currency, papers)),
        "total": "" if price is None else money_words(price.total_minor, sheet.currency),
        "without": _without(sheet),
    }


def _is_in_parts(sheet: QuoteSheet) -> bool:
    """Whether it is an offer of which only some may be promised today."""
    places = sheet.version.places
    return sheet.status == OrderStatus.QUOTED and places is not None and not places.is_all_promised


def _places(sheet: QuoteSheet) -> Sequence[PlaceWords]:
    """The places of an offer; of what is held or agreed, those that are open still."""
    places = sheet.version.places
    if places is None or places.is_all_promised or sheet.status not in _OPEN:
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
    return _("That is with what we sow for you; without it, {alone}. A wish is in neither.").format(alone=alone)


def _summary(sheet: QuoteSheet) -> str:
    found = sheet.version
    asked = _("{stems} and {spare} spare").format(stems=stems_words(found.stems), spare=f"{found.spare:,}")
    if _is_in_parts(sheet):
        return _("You asked for {asked}. Not all of it can be promised; it falls into these places.").format(
            asked=asked
        )
    return _("{asked}. Everything together: {certainty}.").format(asked=asked, certainty=_(sheet.certainty))


def _piece(piece: SheetPiece) -> dict[str, str]:
    return {
        "name": piece.asked,
        "count": f"{piece.count:,}",
        "roles": ", ".join(f"{one.stems} {_(one.role)}" for one in piece.roles),
        "stems": f"{piece.stems:,}",
        "share": percent(piece.share),
    }


def _line(line: SheetLine) -> dict[str, str]:
    hoped = ", ".join(f"{kind.name} ({_(certainty(kind.likelihood))})" for kind in line.hoped_for if not kind.stands_in)
    return {
        "wanted": line.wanted,
        "stage": _("cut {stage}").format(stage=line.stage) if line.stage else "",
        "stems": f"{line.stems:,}",
        "spare": f"{line.spare:,}",
        "hoped": hoped,
        "stand_in": line.stand_in or _behind(line),
        "certainty": _(line.certainty),
    }


def _behind(line: SheetLine) -> str:
    """The kinds that would stand in for a line which is expected without them."""
    names = ", ".join(kind.name for kind in line.hoped_for if kind.stands_in)
    return _("Behind them, should they fail: {names}.").format(names=names) if names else ""


def _spare(sheet: QuoteSheet) -> str:
    found = sheet.version
    if not found.spare:
        return ""
    share = _("Spare is for breakage ({percent} %); how sure we are is said of the stems without it.")
    said = share.format(percent=f"{found.spare_percent:g}")
    if found.own_arranging:
        return f"{_('You arrange the flowers yourselves, so there is more spare.')} {said}"
    return said


def _price(price: SheetPrice, currency: str, papers: Letterhead) -> Iterator[dict[str, str]]:
    """The parts that cost something; they add up to the total."""
    hours, minutes = divmod(price.labour_minutes, 60)
    labour = _("Making, {hours} h {minutes} min").format(hours=hours, minutes=f"{minutes:02d}")
    parts = (
        (_("Stems"), price.stems_minor),
        (_("Spare"), price.spare_minor),
        (labour, price.labour_minor),
        (_("Delivery"), price.delivery_minor),
        (_("Seed sown for you"), price.seed_minor),
        (tax_label(papers, price.tax_percent), price.tax_minor),
    )
    yield from ({"part": part, "amount": money_words(amount, currency)} for part, amount in parts if amount)


def _dates(sheet: QuoteSheet) -> Iterator[str]:
    if sheet.hold_until is not None and sheet.status == "on_hold":
        yield _("The stems are held for you through {day}.").format(day=day(sheet.hold_until))
    if sheet.deposit is not None:
        yield _("Deposit of {amount} noted on {day}.").format(
            amount=money_words(sheet.deposit.amount_minor, sheet.currency), day=day(sheet.deposit.on)
        )
    if sheet.final_numbers_date is not None:
        said = (
            _("We have your final numbers; they are due by {day}.")
            if sheet.final_numbers_given
            else _("Please give us your final numbers; they are due by {day}.")
        )
        yield said.format(day=day(sheet.final_numbers_date))
    yield _("The flowers leave the farm on {day}.").format(day=day(sheet.version.due_date))

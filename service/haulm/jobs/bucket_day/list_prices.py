"""What the settled lines of a bucket list cost: as agreed, less what was short, cheaper or claimed.

The prices are written down when a delivery is settled, in an entry of their own, since hands read the list.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from haulm.advice.kept_prices import bunch_price_of
from haulm.advice.pricing import BunchPrice, PriceList, answering
from haulm.advice.sent_prices import SentPrice, SentStems, Terms, credit_for, sent_price
from haulm.errors import NotFound
from haulm.farm.orders import OrderLine, StandingLine
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week
from haulm.jobs.bucket_day.confirmed_lists import CLAIM, SettledDelivery, by_customer, lines_of, settled_of, subject_of
from haulm.jobs.bucket_day.packed_stems import PackedStems
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _
from haulm.planning.keeping import crops_of
from haulm.store.journal import Entry
from haulm.store.unit_of_work import UnitOfWork

PRICED = "bucket-list-priced"
LineDue = tuple[str, str]
"""A line's key and the day its stems leave, as ISO text."""


@dataclass(frozen=True, slots=True)
class LineTerms:
    """What was agreed of a line, and the list's price of a stem of each product that stood in [minor units]."""

    terms: Terms
    stand_ins: Mapping[str, Fraction]

    def price(self, sent: Iterable[tuple[str, int]], *, claimed_minor: int = 0) -> SentPrice:
        """What stems that went out cost: product and stems, in their order."""
        parts = [SentStems(stems, self.stand_ins.get(product)) for product, stems in sent]
        return sent_price(self.terms, parts, claimed_minor=claimed_minor)


@dataclass(frozen=True, slots=True)
class PricedLine:
    """One settled line: who asked, what went out of it after corrections, and what it costs."""

    customer: str
    line: str
    due: date
    sent: int
    terms: Terms
    price: SentPrice


class ListTerms:
    """The terms of every settled line of a list, and what was claimed since.

    They stand and fall with the entry that settled the delivery: what is taken back has none, and what is settled again
    has those of that day.
    """

    def __init__(self, desk: Desk, day: date) -> None:
        settled = settled_of(desk, day)
        if not settled:
            raise NotFound(kind=_("confirmed bucket list"), key=day.isoformat())
        self._settled = settled
        self._terms = _terms_of(settled, desk.store.entries_of(PRICED, about=subject_of(day)), desk.store.farm)
        self._credits: dict[LineDue, int] = {}
        for entry in desk.store.entries_of(CLAIM):
            name = (entry.facts["line"], entry.facts["due"])
            self._credits[name] = self._credits.get(name, 0) + int(entry.facts["credit_minor"])

    def of(self, line: str, due: str) -> LineTerms:
        """The terms of a line."""
        return self._terms[line, due]

    def credited(self, line: str, due: str) -> int:
        """What was credited for claims about a line [minor units]."""
        return self._credits.get((line, due), 0)

    def lines(self) -> Iterator[PricedLine]:
        """Every settled line of the list by customer, with what is sent of it after corrections up and down."""
        for line in lines_of({"customers": by_customer(self._settled)}):
            name = (str(line["line"]), str(line["due"]))
            sent = [(str(source["product"]), int(source["stems"])) for source in _sources(line)]
            terms = self.of(*name)
            price = terms.price(sent, claimed_minor=self.credited(*name))
            count = sum(stems for _, stems in sent)
            yield PricedLine(line["customer"], name[0], date.fromisoformat(name[1]), count, terms.terms, price)


def list_prices(farm: Farm, crops: Mapping[str, Crop], customers: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """The terms of lines as they are settled, by customer as a list is kept, as JSON."""
    prices = PriceList(farm.prices, crops, farm.site.prices)
    rows: dict[str, OrderLine | StandingLine] = {row.key: row for row in farm.standing_lines}
    rows |= {row.key: row for row in farm.order_lines}
    lines = lines_of({"customers": customers})
    return {"lines": [_terms_facts(prices, rows.get(str(line["line"])), line) for line in lines]}


def terms_by_line(facts: Mapping[str, Any]) -> dict[LineDue, LineTerms]:
    """The terms that `list_prices` wrote, by line and due day."""
    found: dict[LineDue, LineTerms] = {}
    for line in facts["lines"]:
        terms = Terms(line["stems"], line["spare"], BunchPrice(*line["bunch"]), line["whole_minor"])
        stand_ins = {product: BunchPrice(*price).stem for product, price in line["stand_ins"].items()}
        found[line["line"], line["due"]] = LineTerms(terms, stand_ins)
    return found


def claim_credit(
    work: UnitOfWork, delivery: SettledDelivery, line: str, packed: Sequence[PackedStems], stems: tuple[int, int]
) -> int:
    """The credit for stems of a line that are claimed [minor units].

    Args:
        work: the unit of work.
        delivery: the settled delivery.
        line: the key of its line.
        packed: what was sent of it, as corrected.
        stems: stems claimed now, and before.
    """
    terms = _terms_of([delivery], work.entries_of(PRICED, about=subject_of(delivery.day)), lambda: work.farm)
    price = terms[line, delivery.due.isoformat()].price((str(one.product), one.stems) for one in packed)
    return credit_for(price.sent_minor, sum(one.stems for one in packed), stems[0], claimed=stems[1])


def _terms_of(
    settled: Iterable[SettledDelivery], priced: Iterable[Entry], farm: Callable[[], Farm]
) -> dict[LineDue, LineTerms]:
    """The terms of settled deliveries; what an earlier release confirmed without any has those of the farm now."""
    written = {entry.facts["settled"]: entry.facts for entry in priced}
    found: dict[LineDue, LineTerms] = {}
    unpriced: list[SettledDelivery] = []
    for one in settled:
        if one.entry not in written:
            unpriced.append(one)
            continue
        own = {(str(line["line"]), str(line["due"])) for line in one.lines}
        found |= {name: terms for name, terms in terms_by_line(written[one.entry]).items() if name in own}
    if unpriced:
        now = farm()
        found |= terms_by_line(list_prices(now, crops_of(now), by_customer(unpriced)))
    return found


def _terms_facts(prices: PriceList, row: OrderLine | StandingLine | None, line: Mapping[str, Any]) -> dict[str, Any]:
    """The terms of one line; one whose row is gone since has no price."""
    customer, week = str(line["customer"]), Week.of(date.fromisoformat(line["due"]))
    bunch, whole = BunchPrice(0, 1), None
    stand_ins: dict[str, list[int]] = {}
    if row is not None:
        bunch = bunch_price_of(row, prices, customer=customer, week=week)
        whole = row.agreed_price_minor if isinstance(row, OrderLine) else None
        # Of one price for a whole line nobody can say what a stem of what was asked would cost by the list.
        for product in _stand_ins(prices, row, line) if whole is None else ():
            own = prices.bunch_price(product, customer=customer, week=week, length_cm=row.min_length_cm)
            if own.minor:  # what nobody priced costs what was asked
                stand_ins[str(product)] = [own.minor, own.stems]
    return {
        "line": line["line"],
        "due": line["due"],
        "stems": line["asked"],
        "spare": line.get("spare") or 0,
        "bunch": [bunch.minor, bunch.stems],
        "whole_minor": whole,
        "stand_ins": stand_ins,
    }


def _stand_ins(prices: PriceList, row: OrderLine | StandingLine, line: Mapping[str, Any]) -> list[Product]:
    """The products on a line that are none of those it asks, and those that a correction may still bring."""
    found = {Product.parse(str(source["product"])) for source in _sources(line)}.union(row.substitutes)
    asked = (row.product,) if row.choice is None else answering(row.choice, prices.crops)
    return sorted(product for product in found.difference(asked) if product.variety in prices.crops)


def _sources(line: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """Where the stems of a line come from, its spare last."""
    return [*(line.get("from") or ()), *(line.get("spare_from") or ())]

"""What the lines of a confirmed bucket list cost: as agreed, less what was short, cheaper or claimed.

The prices are written down beside the list when it is confirmed, in an entry of their own, since hands read the list.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
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
from haulm.jobs.confirmed_lists import CLAIM, confirmed_bucket_list, corrections_of, subject_of
from haulm.jobs.desk import Desk
from haulm.planning.keeping import crops_of
from haulm.store.journal import Entry, StemPosting
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
    """One line of a confirmed list: who asked, what went out of it after corrections, and what it costs."""

    customer: str
    line: str
    due: date
    sent: int
    terms: Terms
    price: SentPrice


class ListTerms:
    """The terms of every line of a confirmed list, and what was corrected and claimed since."""

    def __init__(self, desk: Desk, day: date) -> None:
        facts = confirmed_bucket_list(desk, day)
        if facts is None:
            raise NotFound(kind="confirmed bucket list", key=day.isoformat())
        self._facts = facts
        farm = desk.store.farm()
        priced = desk.store.last_entry(PRICED, subject_of(day))
        self._terms = terms_by_line(list_prices(farm, crops_of(farm), facts) if priced is None else priced.facts)
        self._left = {(one["line"], one["due"]): int(one["stems"]) for one in corrections_of(desk, day)}
        self._credits: dict[LineDue, int] = {}
        for entry in desk.store.entries_of(CLAIM):
            name = (entry.facts["line"], entry.facts["due"])
            self._credits[name] = self._credits.get(name, 0) + int(entry.facts["credit_minor"])

    def of(self, line: str, due: str) -> LineTerms:
        """The terms of a line."""
        return self._terms[line, due]

    def left(self, line: str, due: str, stems: Sequence[int]) -> tuple[int, ...]:
        """How many stems of each part went out after all, of a line's parts in their order, its spare last.

        A correction takes spare back first, and of the rest the last packed first.
        """
        rest = self._left.get((line, due), sum(stems))
        found: list[int] = []
        for part in stems:
            found.append(min(part, rest))
            rest -= found[-1]
        return tuple(found)

    def credited(self, line: str, due: str) -> int:
        """What was credited for claims about a line [minor units]."""
        return self._credits.get((line, due), 0)

    def lines(self) -> Iterator[PricedLine]:
        """Every line of the list, in its order."""
        for customer, line in _lines_of(self._facts):
            name = (str(line["line"]), str(line["due"]))
            sources = [*(line.get("from") or ()), *(line.get("spare_from") or ())]
            left = self.left(*name, [int(source["stems"]) for source in sources])
            sent = [(str(source["product"]), stems) for source, stems in zip(sources, left, strict=True)]
            price = self.of(*name).price(sent, claimed_minor=self.credited(*name))
            due = date.fromisoformat(name[1])
            yield PricedLine(customer, name[0], due, sum(left), self.of(*name).terms, price)


def list_prices(farm: Farm, crops: Mapping[str, Crop], facts: Mapping[str, Any]) -> dict[str, Any]:
    """The terms of every line of a list as it is confirmed, as JSON."""
    prices = PriceList(farm.prices, crops, farm.site.prices)
    rows: dict[str, OrderLine | StandingLine] = {row.key: row for row in farm.standing_lines}
    rows |= {row.key: row for row in farm.order_lines}
    return {
        "lines": [
            _terms_facts(prices, rows.get(str(line["line"])), customer, line) for customer, line in _lines_of(facts)
        ]
    }


def terms_by_line(facts: Mapping[str, Any]) -> dict[LineDue, LineTerms]:
    """The terms that `list_prices` wrote, by line and due day."""
    found: dict[LineDue, LineTerms] = {}
    for line in facts["lines"]:
        terms = Terms(line["stems"], line["spare"], BunchPrice(*line["bunch"]), line["whole_minor"])
        stand_ins = {product: BunchPrice(*price).stem for product, price in line["stand_ins"].items()}
        found[line["line"], line["due"]] = LineTerms(terms, stand_ins)
    return found


def claim_credit(work: UnitOfWork, confirmed: Entry, packed: Sequence[StemPosting], stems: int, *, claimed: int) -> int:
    """The credit for stems of a line that are claimed [minor units].

    Args:
        work: the unit of work.
        confirmed: the entry of the list.
        packed: what is packed of the line, with what was corrected left out.
        stems: stems claimed now.
        claimed: stems claimed before.
    """
    priced = work.last_entry(PRICED, confirmed.subject)
    facts = list_prices(work.farm, crops_of(work.farm), confirmed.facts) if priced is None else priced.facts
    line, due = packed[0].key.split(":")[:2]
    price = terms_by_line(facts)[line, due].price((str(one.product), one.stems) for one in packed)
    return credit_for(price.sent_minor, sum(one.stems for one in packed), stems, claimed=claimed)


def _terms_facts(
    prices: PriceList, row: OrderLine | StandingLine | None, customer: str, line: Mapping[str, Any]
) -> dict[str, Any]:
    """The terms of one line; one whose row is gone since has no price."""
    week = Week.of(date.fromisoformat(line["due"]))
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
    """The products on a line that are none of those it asks."""
    sources = [*(line.get("from") or ()), *(line.get("spare_from") or ())]
    sent = {Product.parse(str(source["product"])) for source in sources}
    asked = (row.product,) if row.choice is None else answering(row.choice, prices.crops)
    return sorted(product for product in sent.difference(asked) if product.variety in prices.crops)


def _lines_of(facts: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Every line of a confirmed list with its customer."""
    customers: Sequence[Mapping[str, Any]] = facts.get("customers", ())
    for customer in customers:
        for line in customer["lines"]:
            yield str(customer["customer"]), line

"""What one customer is told of a list: her deliveries, settled or expected, in the figures of the list and in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from haulm.advice.asked_words import asked_in_words
from haulm.advice.shortfalls import asked_of
from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.jobs.bucket_day.bucket_lines import BucketLine, DeliveryKey
from haulm.jobs.bucket_day.confirmed_lists import SettledDelivery
from haulm.jobs.bucket_day.listed import EXPECTED, SETTLED, WeekList
from haulm.jobs.bucket_day.reasons import Reason
from haulm.language.words import _, marked, one_or_more
from haulm.planning.plan import Plan

_WHY = {
    Reason.NEVER_CUT: marked("Fewer were cut than we had written down."),
    Reason.THROWN: marked("Some were not good enough to send."),
    Reason.BACK_IN_STORE: marked("We packed fewer after all."),
}


@dataclass(frozen=True, slots=True)
class Given:
    """Stems of one kind that fill a line."""

    stems: int
    name: str
    is_substitute: bool


@dataclass(frozen=True, slots=True)
class ToldLine:
    """One line as its customer is told it.

    Attributes:
        line: its key.
        asked: what, in words.
        ordered: stems asked.
        yours: stems that are hers: of a settled line those that come.
        up_to: stems it may become, no fewer.
        bunches: whole bunches of a settled line; 0 where it is expected.
        given: what fills a settled line, by kind.
        why: why a settled line is short, in one phrase, or empty.
        words: the figures in words.
        products: what comes, or what is asked as long as nothing is known of that.
    """

    line: str
    asked: str
    ordered: int
    yours: int
    up_to: int
    bunches: int
    given: tuple[Given, ...]
    why: str
    words: str
    products: tuple[Product, ...]


@dataclass(frozen=True, slots=True)
class ToldDelivery:
    """One delivery as its customer is told it.

    Attributes:
        order, due: which.
        state: expected or settled.
        has_left: whether the van has left with it.
        next_look: the day on which the farm knows more: of the last cut, today where that is over; None where settled.
        lines: its lines.
    """

    order: str
    due: date
    state: str
    has_left: bool
    next_look: date | None
    lines: tuple[ToldLine, ...]

    @property
    def key(self) -> DeliveryKey:
        """Its order and day."""
        return self.order, self.due

    @property
    def is_settled(self) -> bool:
        """Whether it is settled."""
        return self.state == SETTLED


def told_week(plan: Plan, week: WeekList, customer: str) -> tuple[ToldDelivery, ...]:
    """What a customer is told of a list, by due day; the figures are those of the list."""
    settled = [told_settled(one, plan.crops) for one in week.settled if one.customer == customer]
    expected = [
        ToldDelivery(
            one.order,
            one.due,
            EXPECTED,
            False,
            max(one.last_cut or plan.today, plan.today),
            tuple(_expected(bucket, plan.crops) for bucket in week.draft.lines if bucket.delivery == one.key),
        )
        for one in week.draft.deliveries
        if one.customer == customer
    ]
    return tuple(sorted([*settled, *expected], key=lambda one: (one.due, one.order)))


def told_settled(one: SettledDelivery, crops: Mapping[str, Crop]) -> ToldDelivery:
    """What is told of a settled delivery."""
    lines = tuple(_settled(line, one.corrections, crops) for line in one.lines)
    return ToldDelivery(one.order, one.due, SETTLED, one.has_left, None, lines)


def yours_in_words(yours: int, up_to: int, ordered: int) -> str:
    """What is theirs of an expected line and what it may become: `Yours: 20; up to 40`."""
    if yours >= ordered:
        return _("Yours: all {ordered}").format(ordered=ordered)
    return (
        _("Yours: {yours} of {ordered}").format(yours=yours, ordered=ordered)
        if up_to <= yours
        else _("Yours: {yours}; up to {up_to}").format(yours=yours, up_to=up_to)
    )


def _expected(bucket: BucketLine, crops: Mapping[str, Crop]) -> ToldLine:
    line = bucket.line
    asked = asked_in_words(asked_of(line), crops)
    words = yours_in_words(bucket.yours, bucket.up_to, line.stems)
    products = [line.product] if line.product is not None else [source.product for source in bucket.sources]
    return ToldLine(line.line, asked, line.stems, bucket.yours, bucket.up_to, 0, (), "", words, tuple(products))


def _settled(line: Mapping[str, Any], corrections: Iterable[Mapping[str, Any]], crops: Mapping[str, Crop]) -> ToldLine:
    stems: dict[str, int] = {}
    for source in line["from"]:
        stems[source["product"]] = stems.get(source["product"], 0) + source["stems"]
    given = tuple(
        Given(count, asked_in_words(product, crops), line["product"] not in (None, product))
        for product, count in stems.items()
    )
    asked = asked_in_words(line["product"] or line["choice"], crops)
    comes, ordered, bunches = int(line["filled"]), int(line["asked"]), int(line["bunches"])
    words = (
        _("all {ordered} stems").format(ordered=ordered)
        if comes >= ordered
        else _("{comes} of {ordered} stems").format(comes=comes, ordered=ordered)
    )
    if bunches:
        words += one_or_more(", {bunches} bunch", ", {bunches} bunches", bunches).format(bunches=bunches)
    why = _why(line, [str(one["reason"]) for one in corrections if one["line"] == line["line"]])
    products = tuple(Product.parse(product) for product in stems)
    return ToldLine(str(line["line"]), asked, ordered, comes, comes, bunches, given, why, words, products)


def _why(line: Mapping[str, Any], corrected: list[str]) -> str:
    if line["filled"] >= line["asked"]:
        return ""
    said = next((_WHY[Reason(reason)] for reason in reversed(corrected) if reason in list(Reason)), "")
    if said:
        return said
    if line["share"] is not None:
        return _("There were not enough for everybody; we shared them evenly.")
    return _("There were not enough of them.")

"""A bucket list as it is kept and shown: plain values, the same for the entry, the wire, the page and the paper."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from haulm.advice.even_share import Share
from haulm.farm.products import Product
from haulm.jobs.bucket_day.bucket_lines import BucketLine, BucketList, DeliveryKey, LineDue
from haulm.jobs.bucket_day.confirmed_lists import SettledDelivery, deliveries_in
from haulm.jobs.desk.seen import strong_hash
from haulm.matching.reading.which_stems import Source

EXPECTED, SETTLED = "expected", "settled"


@dataclass(frozen=True, slots=True)
class WeekList:
    """The list of a bucket day: what is settled of it, and what is expected."""

    draft: BucketList
    settled: tuple[SettledDelivery, ...]

    @property
    def is_settled(self) -> bool:
        """Whether all of it is settled, and there is something on it."""
        return bool(self.settled) and not self.draft.lines


@dataclass(frozen=True, slots=True)
class LineChanged:
    """A line whose figures are not those that were seen: stems it had and has; None where it was or is not there."""

    line: str
    due: date
    was: int | None
    now: int | None

    @property
    def facts(self) -> dict[str, Any]:
        """As JSON."""
        return {"line": self.line, "due": self.due.isoformat(), "was": self.was, "now": self.now}


def listed_week(week: WeekList) -> dict[str, Any]:
    """The list as JSON, keys of customers and never names; with a tag for each delivery."""
    day, last = week.draft.day.isoformat(), week.draft.last.isoformat()
    return {
        "date": day,
        "from": day,
        "to": last,
        "confirmed": week.is_settled,
        "customers": _customers(week),
        "deliveries": _deliveries(week),
    }


def listed_settled(week: WeekList, keys: Iterable[DeliveryKey]) -> dict[str, Any]:
    """The list as JSON once these deliveries are settled."""
    wanted = frozenset(keys)
    draft = week.draft
    settled = deliveries_in({"customers": listed_lines(draft, wanted)}, draft.day, entry=0)
    lines = tuple(bucket for bucket in draft.lines if bucket.delivery not in wanted)
    rest = replace(draft, lines=lines, deliveries=tuple(one for one in draft.deliveries if one.key not in wanted))
    return listed_week(WeekList(rest, (*week.settled, *settled.values())))


def tag_of(week: WeekList) -> str:
    """A strong hash of every figure of a list; whatever else is written leaves it as it is."""
    return strong_hash(listed_week(week))


def delivery_tags(week: WeekList) -> dict[DeliveryKey, str]:
    """A strong hash of every figure of each delivery."""
    by_delivery: dict[DeliveryKey, list[Mapping[str, Any]]] = {}
    for found in _all_lines(week):
        by_delivery.setdefault((found["order"], date.fromisoformat(found["due"])), []).append(found)
    left = {one.key for one in week.settled if one.has_left}
    return {key: strong_hash([lines, key in left]) for key, lines in by_delivery.items()}


def figures_of(week: WeekList) -> dict[LineDue, int]:
    """The stems of each line as the list shows them."""
    return {(found["line"], date.fromisoformat(found["due"])): int(found["filled"]) for found in _all_lines(week)}


def changes(seen: Mapping[LineDue, int], now: Mapping[LineDue, int]) -> tuple[LineChanged, ...]:
    """The lines that have other stems than were seen, by due date."""
    keys = sorted({*seen, *now}, key=lambda key: (key[1], key[0]))
    return tuple(LineChanged(*key, seen.get(key), now.get(key)) for key in keys if seen.get(key) != now.get(key))


def listed_lines(draft: BucketList, keys: Iterable[DeliveryKey]) -> list[dict[str, Any]]:
    """The lines of deliveries that are settled now, by customer, as they are kept."""
    wanted = set(keys)
    by_customer: dict[str, list[dict[str, Any]]] = {}
    for bucket in draft.lines:
        if bucket.delivery in wanted:
            line = {**_line(bucket), "state": SETTLED, "yours": bucket.filled, "up_to": bucket.filled}
            by_customer.setdefault(bucket.line.customer, []).append(line)
    return [{"customer": key, "lines": lines} for key, lines in by_customer.items()]


def listed_sources(sources: Sequence[Source]) -> list[dict[str, Any]]:
    """Where stems come from, as JSON; `stock` is the key of the count they come from, where there is one."""
    return [
        {
            "product": str(source.product),
            "ready_date": source.lot.ready.isoformat(),
            "stems": source.stems,
            "length_cm": source.length_cm or None,
            "cut_date": None if source.lot.cut is None else source.lot.cut.isoformat(),
            "stock": source.lot.key or None,
        }
        for source in sources
    ]


def stems_listed(lines: Iterable[Mapping[str, Any]]) -> Iterator[tuple[Product, date | None]]:
    """The product of every source of kept lines, spare included, and the day it was cut; None where it stood."""
    for line in lines:
        for source in (*line["from"], *(line.get("spare_from") or ())):
            cut = source["cut_date"]
            yield Product.parse(source["product"]), None if cut is None else date.fromisoformat(cut)


def _customers(week: WeekList) -> list[dict[str, Any]]:
    lines: dict[str, list[Mapping[str, Any]]] = {}
    for one in week.settled:
        lines.setdefault(one.customer, []).extend(map(_kept_line, one.lines))
    for bucket in week.draft.lines:
        lines.setdefault(bucket.line.customer, []).append(_line(bucket))
    ordered = {key: sorted(lines[key], key=lambda line: (line["due"], line["line"])) for key in sorted(lines)}
    return [{"customer": key, "lines": own} for key, own in ordered.items()]


def _all_lines(week: WeekList) -> list[Mapping[str, Any]]:
    return [line for customer in _customers(week) for line in customer["lines"]]


def _deliveries(week: WeekList) -> list[dict[str, Any]]:
    tags = delivery_tags(week)
    found = [
        {
            **_named(one.key, one.customer, tags),
            "state": SETTLED,
            "last_cut": None,
            "can_settle": False,
            "left": one.has_left,
        }
        for one in week.settled
    ]
    found += [
        {
            **_named(one.key, one.customer, tags),
            "state": EXPECTED,
            "last_cut": None if one.last_cut is None else one.last_cut.isoformat(),
            "can_settle": one.can_settle,
            "left": False,
        }
        for one in week.draft.deliveries
    ]
    return sorted(found, key=lambda one: (one["due"], one["customer"], one["order"]))


def _named(key: DeliveryKey, customer: str, tags: Mapping[DeliveryKey, str]) -> dict[str, Any]:
    return {"order": key[0], "due": key[1].isoformat(), "customer": customer, "etag": tags[key]}


def _kept_line(line: Mapping[str, Any]) -> dict[str, Any]:
    """A settled line; one of an earlier release says neither its state nor what is theirs."""
    return {**line, "state": SETTLED, "yours": line["filled"], "up_to": line["filled"]}


def _line(bucket: BucketLine) -> dict[str, Any]:
    line = bucket.line
    return {
        "line": line.line,
        "order": line.order,
        "class": str(line.line_class),
        "product": None if line.product is None else str(line.product),
        "choice": None if line.choice is None else str(line.choice),
        "due": line.due.isoformat(),
        "state": EXPECTED,
        "asked": line.stems,
        "filled": bucket.filled,
        "yours": bucket.yours,
        "up_to": bucket.up_to,
        "bunches": bucket.bunches,
        "over": bucket.over,
        "from": listed_sources(bucket.sources),
        "caution": bucket.caution,
        "share": None if bucket.share is None else _share(bucket.share),
        "spare": bucket.spare,
        "spare_filled": sum(source.stems for source in bucket.spare_sources),
        "spare_from": listed_sources(bucket.spare_sources),
    }


def _share(share: Share) -> dict[str, Any]:
    return {"exact": round(share.exact, 2), "stems": share.stems, "extra_bunches": share.extra_bunches}

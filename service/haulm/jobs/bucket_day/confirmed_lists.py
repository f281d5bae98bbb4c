"""What was settled of bucket lists, as the journal has it: each delivery as it stands now, and who got too few."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from haulm.farm.words import LineClass
from haulm.jobs.bucket_day.bucket_lines import BucketLine, DeliveryKey
from haulm.jobs.desk.desk import Desk
from haulm.store.journal import Entry

CONFIRMED, CORRECTED, CLAIM = "bucket-list-confirmed", "bucket-list-corrected", "claim"
DELIVERED, TAKEN_BACK = "bucket-list-delivered", "bucket-list-taken-back"
OF_SETTLED = (CONFIRMED, CORRECTED, DELIVERED, TAKEN_BACK)
"""The entries that say what is settled."""


@dataclass(frozen=True, slots=True)
class SettledDelivery:
    """A delivery that is settled: its stems are packed, or have left.

    Attributes:
        day: the bucket day of its list.
        order, due, customer: which.
        lines: its lines as they stand now, as plain values.
        entry: the place in the journal of the entry that settled it.
        has_left: whether the van has left with it.
        corrections: what was corrected since, oldest first.
    """

    day: date
    order: str
    due: date
    customer: str
    lines: tuple[Mapping[str, Any], ...]
    entry: int
    has_left: bool = False
    corrections: tuple[Mapping[str, Any], ...] = ()

    @property
    def key(self) -> DeliveryKey:
        """Its order and day."""
        return self.order, self.due


def subject_of(day: date) -> str:
    """What the entry of a settled list is about."""
    return f"bucket-lists/{day.isoformat()}"


def lines_of(facts: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    """The lines of a list as it is kept, each with its customer."""
    customers: Sequence[Mapping[str, Any]] = facts.get("customers", ())
    for customer in customers:
        for line in customer["lines"]:
            yield {**line, "customer": customer["customer"]}


def settled_deliveries(entries: Iterable[Entry]) -> dict[DeliveryKey, SettledDelivery]:
    """Every delivery that is settled, as it stands after these entries of `OF_SETTLED`, oldest first."""
    found: dict[DeliveryKey, SettledDelivery] = {}
    for entry in entries:
        day = date.fromisoformat(entry.subject.partition("/")[2])
        if entry.kind == CONFIRMED:
            found |= deliveries_in(entry.facts, day, entry=entry.seq)
        elif entry.kind == CORRECTED:
            _correct(found, entry)
        else:
            for key in _named(found, entry, day):
                if entry.kind == DELIVERED:
                    found[key] = replace(found[key], has_left=True)
                else:
                    del found[key]
    return found


def settled_of(desk: Desk, day: date) -> tuple[SettledDelivery, ...]:
    """The settled deliveries of one list, by customer and due date."""
    found = settled_deliveries(desk.store.entries_of(*OF_SETTLED, about=subject_of(day))).values()
    return tuple(sorted(found, key=lambda one: (one.customer, one.due, one.order)))


def confirmed_bucket_list(desk: Desk, day: date) -> Mapping[str, Any] | None:
    """What is settled of the list of a day, as it stands now, as plain values; None where nothing is."""
    found = settled_of(desk, day)
    if not found:
        return None
    last = day + timedelta(days=6)
    return {"date": day.isoformat(), "from": day.isoformat(), "to": last.isoformat(), "customers": by_customer(found)}


def by_customer(found: Iterable[SettledDelivery]) -> list[dict[str, Any]]:
    """Lines of settled deliveries by customer, as plain values."""
    lines: dict[str, list[Mapping[str, Any]]] = {}
    for one in found:
        lines.setdefault(one.customer, []).extend(one.lines)
    return [{"customer": key, "lines": lines[key]} for key in sorted(lines)]


def claimed_stems(claims: Iterable[Entry], due: date) -> int:
    """The stems of a line that left on a day and were claimed, of the claims about the line."""
    return sum(int(entry.facts["stems"]) for entry in claims if entry.facts["due"] == due.isoformat())


def claims_about(line: str) -> str:
    """What the entry of a claim about a line is about."""
    return f"lines/{line}"


def short_customers(lines: Iterable[BucketLine]) -> frozenset[str]:
    """Those who get fewer stems than they asked on some line; the stall does not count."""
    return frozenset(
        bucket.line.customer
        for bucket in lines
        if bucket.filled < bucket.line.stems and bucket.line.line_class is not LineClass.STALL
    )


def short_before(desk: Desk, day: date) -> frozenset[str]:
    """Those who got too few on the bucket day before, be it by a correction."""
    return frozenset(
        found.customer
        for found in settled_of(desk, day - timedelta(days=7))
        for line in found.lines
        if line["filled"] < line["asked"] and line["class"] != LineClass.STALL
    )


def deliveries_in(facts: Mapping[str, Any], day: date, *, entry: int) -> dict[DeliveryKey, SettledDelivery]:
    """The deliveries that the facts of an entry of a list settle."""
    found: dict[DeliveryKey, SettledDelivery] = {}
    for line in lines_of(facts):
        key = (str(line["order"]), date.fromisoformat(line["due"]))
        kept = {name: value for name, value in line.items() if name != "customer"}
        before = found.get(key) or SettledDelivery(day, *key, str(line["customer"]), (), entry)
        found[key] = replace(before, lines=(*before.lines, kept))
    return found


def _correct(found: dict[DeliveryKey, SettledDelivery], entry: Entry) -> None:
    """Put one line right; an entry of an earlier release says only how many stems were left of it."""
    facts, due = entry.facts, date.fromisoformat(entry.facts["due"])
    for key, one in found.items():
        if key[1] == due and any(line["line"] == facts["line"] for line in one.lines):
            found[key] = corrected(one, facts)
            return


def corrected(one: SettledDelivery, facts: Mapping[str, Any]) -> SettledDelivery:
    """A delivery with one of its lines corrected, by the facts of such an entry."""
    lines = tuple(_put_right(line, facts) if line["line"] == facts["line"] else line for line in one.lines)
    return replace(one, lines=lines, corrections=(*one.corrections, facts))


def _put_right(line: Mapping[str, Any], facts: Mapping[str, Any]) -> Mapping[str, Any]:
    return {**line, **(facts["now"] if "now" in facts else _first_stems(line, int(facts["stems"])))}


def _first_stems(line: Mapping[str, Any], stems: int) -> dict[str, Any]:
    """What is left of a line of so many stems: its spare went back first, and of the rest the last packed."""
    kept: dict[str, list[Mapping[str, Any]]] = {"from": [], "spare_from": []}
    left = stems
    for name, sources in kept.items():
        for source in line.get(name) or ():
            taken = min(left, int(source["stems"]))
            left -= taken
            if taken:
                sources.append({**source, "stems": taken})
    spare = sum(int(source["stems"]) for source in kept["spare_from"])
    return {**kept, "filled": min(int(line["filled"]), stems), "spare_filled": spare}


def _named(found: Mapping[DeliveryKey, SettledDelivery], entry: Entry, day: date) -> list[DeliveryKey]:
    """The deliveries an entry names; one of an earlier release means the whole list."""
    named = entry.facts.get("deliveries")
    if named is None:
        return [key for key, one in found.items() if one.day == day]
    keys = [(str(order), date.fromisoformat(due)) for order, due in named]
    return [key for key in keys if key in found]

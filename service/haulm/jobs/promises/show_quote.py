"""One quote with its whole life: the version that stands, those before it, each step, each recheck. Reads only."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from haulm.advice.acceptance import Verdict
from haulm.advice.certainty import certainty
from haulm.farm.orders import Order
from haulm.farm.quantities import percent, percents, reaches
from haulm.farm.weeks import day_in_words
from haulm.farm.words import OrderKind, OrderPart, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import floors_of
from haulm.jobs.promises.hold_quote import contract_verdict, order_named
from haulm.jobs.quotes.kinds_told import is_behind, still_asked
from haulm.jobs.quotes.version import VERSION_KINDS, KindTold, QuoteVersion, versions_of
from haulm.jobs.quotes.version_from_rows import version_from_rows
from haulm.language.words import _, marked
from haulm.planning.plan import Plan
from haulm.store.journal import Entry

CUSTOMERS_NOTES = (
    marked("Forecasts are estimates, not guarantees."),
    marked("Not for food unless we say so for a kind."),
)
"""What a quote says to the customer."""
NOTES = (
    *CUSTOMERS_NOTES,
    marked("Not legal advice: deposits, cancellations and refunds follow local consumer law."),
)
STEP_KINDS = (*VERSION_KINDS, "held", "contracted", "released", "quote-lapsed", "quote-cancelled", "quote-fulfilled")
RECHECK_KIND = "quote-rechecked"
QUOTE_KINDS = (*STEP_KINDS, RECHECK_KIND)
"""The kinds of entries that a quote is told from."""
_FINAL_NUMBERS_NOTICE_DAYS = 14
_OPEN = (OrderStatus.QUOTED, OrderStatus.ON_HOLD, OrderStatus.CONTRACTED)


@dataclass(frozen=True, slots=True)
class Step:
    """One step in the life of a quote.

    Attributes:
        at_utc: when it was written.
        actor: who, as an id.
        kind: the kind of its entry, such as `held`.
        sentence: what happened, in words.
        entry: its place in the journal.
    """

    at_utc: datetime
    actor: str
    kind: str
    sentence: str
    entry: int


@dataclass(frozen=True, slots=True)
class Recheck:
    """What a recheck some weeks before the day found."""

    on: date
    weeks_before: int
    order_confidence: float
    certainty: str
    fell: bool
    sentence: str


@dataclass(frozen=True, slots=True)
class Deposit:
    """A deposit as it was written down: a fact, no advice."""

    amount_minor: int
    on: date


@dataclass(frozen=True, slots=True)
class QuoteSheet:
    """A quote as a page or a paper shows it.

    Attributes:
        number: the key of the order, which is the number of the quote.
        farm: the farm's name.
        currency: ISO 4217 code.
        customer: key of the customer.
        customer_name: the customer's name; personal data, never to be logged.
        kind: what the order is for.
        status: quoted, on_hold, lapsed, contracted, delivered or cancelled.
        version: the version that stands.
        versions: all versions, the first first.
        hold_until: last day of the hold, or None.
        deposit: the deposit as it was written down, or None.
        final_numbers_date: the day by which the counts are final, or None.
        final_numbers_given: whether they were given.
        confidence_now: how sure the order is today, all lines at once, 0-1; None where it holds nothing.
        substitution_clause: the farm's own text.
        steps: what happened, in order.
        rechecks: what the rechecks found, in order.
        warnings: what the grower should do something about, in sentences.
        contract: of a hold, the judgement of a contract were it made today; else None.
        notes: what every quote says to the grower.
        asked: the kinds about which the grower has not decided yet; none where the order is at its end.
        is_behind: whether she decided anything since that this version does not follow.
        is_sown: whether some of it is promised with what was sown for it.
        may_sow: whether there is still time to sow for what the quote offers to sow for, and nobody has yet.
    """

    number: str
    farm: str
    currency: str
    customer: str
    customer_name: str
    kind: str
    status: str
    version: QuoteVersion
    versions: tuple[QuoteVersion, ...]
    hold_until: date | None
    deposit: Deposit | None
    final_numbers_date: date | None
    final_numbers_given: bool
    confidence_now: float | None
    substitution_clause: str
    steps: tuple[Step, ...]
    rechecks: tuple[Recheck, ...]
    warnings: tuple[str, ...]
    contract: Verdict | None = None
    notes: tuple[str, ...] = NOTES
    asked: tuple[KindTold, ...] = ()
    is_behind: bool = False
    may_sow: bool = False
    is_sown: bool = False

    @property
    def confidence(self) -> float:
        """How sure the whole is, 0-1: today where it holds stems, else on the day it was quoted."""
        return self.version.order_confidence if self.confidence_now is None else self.confidence_now

    @property
    def certainty(self) -> str:
        """The same in words."""
        return certainty(self.confidence)


@dataclass(frozen=True, slots=True)
class QuoteSummary:
    """A quote in a list."""

    number: str
    customer: str
    customer_name: str
    kind: str
    status: str
    event_date: date
    due_date: date
    stems: int
    order_confidence: float | None
    total_minor: int | None
    hold_until: date | None
    final_numbers_date: date | None
    warnings: tuple[str, ...]


def show_quote(desk: Desk, key: str) -> QuoteSheet:
    """One quote with its whole life.

    Raises:
        NotFound: there is no such order.
    """
    return sheet_of(desk, desk.plan(), key, desk.store.entries_of(*QUOTE_KINDS, about=f"orders/{key}"))


def sheet_of(desk: Desk, plan: Plan, key: str, entries: Sequence[Entry]) -> QuoteSheet:
    """One quote as a plan and its own entries tell it.

    Raises:
        NotFound: there is no such order.
    """
    order = order_named(plan.farm, key)
    versions = versions_of(entries) or (version_from_rows(plan, order),)
    names = {customer.key: customer.name for customer in plan.farm.customers}
    given = any(entry.kind == "final-numbers" for entry in entries)
    is_open = order.status in _OPEN
    return QuoteSheet(
        number=key,
        farm=plan.farm.site.name,
        currency=plan.farm.site.currency,
        customer=order.customer,
        customer_name=names.get(order.customer, order.customer),
        kind=str(order.kind),
        status=status_of(order, plan.today),
        version=versions[-1],
        versions=versions,
        hold_until=order.hold_until,
        deposit=_deposit(entries),
        final_numbers_date=order.final_numbers_date,
        final_numbers_given=given,
        confidence_now=_confidence_now(plan, order),
        substitution_clause=plan.farm.site.quotes.substitution_clause,
        steps=tuple(_step(entry) for entry in entries if entry.kind != RECHECK_KIND),
        rechecks=tuple(_recheck(entry) for entry in entries if entry.kind == RECHECK_KIND),
        warnings=warnings_of(plan, order, versions[-1], given=given),
        contract=_contract(desk, plan, order),
        asked=still_asked(versions[-1], plan.farm.piece_decisions) if is_open else (),
        is_behind=is_open and is_behind(versions[-1], plan.farm.piece_decisions),
        may_sow=is_open and not is_lapsed(order, plan.today) and _may_sow(plan, order, versions[-1]),
        is_sown=_is_sown(plan, order),
    )


def _may_sow(plan: Plan, order: Order, version: QuoteVersion) -> bool:
    sown = None if version.places is None else version.places.sown
    return sown is not None and plan.today <= sown.sow_by and not _is_sown(plan, order)


def _is_sown(plan: Plan, order: Order) -> bool:
    return any(line.order == order.key and line.part is OrderPart.SOWN for line in plan.farm.order_lines)


def _contract(desk: Desk, plan: Plan, order: Order) -> Verdict | None:
    """Whether a hold could be contracted now."""
    if status_of(order, plan.today) != OrderStatus.ON_HOLD or not plan.lines_of(order.key):
        return None
    return contract_verdict(desk, plan, order, floors_of(desk, plan))


def list_quotes(desk: Desk) -> tuple[QuoteSummary, ...]:
    """Every dated order but the stall's, the earliest event first."""
    plan = desk.plan()
    entries: dict[str, list[Entry]] = {}
    for entry in desk.store.entries_of(*VERSION_KINDS):
        entries.setdefault(entry.subject, []).append(entry)
    names = {customer.key: customer.name for customer in plan.farm.customers}
    found = [
        _summary(plan, order, entries.get(f"orders/{order.key}", []), names.get(order.customer, order.customer))
        for order in plan.farm.orders
        if order.kind is not OrderKind.STALL
    ]
    return tuple(sorted(found, key=lambda quote: (quote.event_date, quote.number)))


def status_of(order: Order, today: date) -> str:
    """Where an order stands today: a hold whose last day is over has lapsed, whoever wrote that down or not."""
    return "lapsed" if is_lapsed(order, today) else str(order.status)


def is_lapsed(order: Order, today: date) -> bool:
    """Whether the order's hold is over."""
    return order.status is OrderStatus.ON_HOLD and order.hold_until is not None and order.hold_until < today


def warnings_of(plan: Plan, order: Order, version: QuoteVersion, *, given: bool) -> tuple[str, ...]:
    """What the grower should do something about."""
    found = []
    if is_lapsed(order, plan.today):
        assert order.hold_until is not None, "a hold that lapsed had a day"
        said = _("The hold ended on {day}; its stems are free again.")
        found.append(said.format(day=day_in_words(order.hold_until)))
    now = _confidence_now(plan, order)
    level = promised_level(plan, order)
    if order.status is OrderStatus.CONTRACTED and now is not None and not reaches(now, level):
        sure, promised = percents(now, level)
        found.append(
            _("Promised at {promised}, and {sure} sure as a whole today: see what can still close the gap.").format(
                promised=promised, sure=sure
            )
        )
    day, live = order.final_numbers_date, order.status in (OrderStatus.ON_HOLD, OrderStatus.CONTRACTED)
    if live and day is not None and not given and (day - plan.today).days <= _FINAL_NUMBERS_NOTICE_DAYS:
        said = _("Final numbers are overdue since {day}.") if day < plan.today else _("Final numbers are due by {day}.")
        found.append(said.format(day=day_in_words(day)))
    if order.status is OrderStatus.QUOTED and version.valid_until < plan.today:
        found.append(_("The offer stood until {valid_until}.").format(valid_until=day_in_words(version.valid_until)))
    return tuple(found)


def promised_level(plan: Plan, order: Order) -> float:
    """The level the order was promised at, the farm's usual one where none was noted, 0-1."""
    levels = [line.promised_confidence for line in plan.farm.order_lines if line.order == order.key]
    noted = [level for level in levels if level is not None]
    return min(noted, default=plan.farm.site.level_of(order.kind.line_class))


def _confidence_now(plan: Plan, order: Order) -> float | None:
    return plan.joint(order.key) if plan.lines_of(order.key) else None


def _summary(plan: Plan, order: Order, entries: list[Entry], name: str) -> QuoteSummary:
    versions = versions_of(entries[-1:])
    version = versions[-1] if versions else version_from_rows(plan, order)
    given = any(entry.kind == "final-numbers" for entry in entries)
    now = _confidence_now(plan, order)
    return QuoteSummary(
        number=order.key,
        customer=order.customer,
        customer_name=name,
        kind=str(order.kind),
        status=status_of(order, plan.today),
        event_date=version.event_date,
        due_date=order.due_date,
        stems=version.stems,
        order_confidence=now if now is not None else (version.order_confidence if versions else None),
        total_minor=_total(order, version),
        hold_until=order.hold_until,
        final_numbers_date=order.final_numbers_date,
        warnings=warnings_of(plan, order, version, given=given),
    )


def _total(order: Order, version: QuoteVersion) -> int | None:
    """What it costs; of what is only quoted, what may be promised of it today costs; None where nothing may."""
    price = version.offered if order.status is OrderStatus.QUOTED else version.price
    return None if price is None else price.total_minor


def _deposit(entries: Iterable[Entry]) -> Deposit | None:
    noted = [entry for entry in entries if entry.facts.get("deposit_minor") is not None]
    if not noted:
        return None
    facts = noted[-1].facts
    return Deposit(facts["deposit_minor"], date.fromisoformat(facts["deposit_on"]))


def _step(entry: Entry) -> Step:
    return Step(entry.at_utc, entry.actor, entry.kind, _said(entry), entry.seq)


def _said(entry: Entry) -> str:
    facts = entry.facts
    over = _in_spite(facts)
    match entry.kind:
        case "quoted":
            return _("Quoted, {order_confidence} sure.").format(order_confidence=percent(facts["order_confidence"]))
        case "held":
            return _("Held until {hold_until}{over}.").format(hold_until=facts["hold_until"], over=over)
        case "contracted":
            return _("Contracted{over}.").format(over=over)
        case "quote-changed" | "final-numbers":
            what = _("Final numbers given") if entry.kind == "final-numbers" else _("Changed")
            changed = facts.get("version", {}).get("changed", [])
            return f"{what}{over}: {' '.join(changed) or _('nothing else than before.')}"
        case "quote-lapsed":
            return _("The hold ended; its stems were let go.")
        case "quote-cancelled":
            reason = facts.get("reason")
            return _("Cancelled: {reason}.").format(reason=reason) if reason else _("Cancelled.")
        case "quote-fulfilled":
            return _("Fulfilled.")
        case _:
            return _("Released.")


def _in_spite(facts: Mapping[str, Any]) -> str:
    if not facts.get("overridden"):
        return ""
    reason = facts.get("override_reason")
    return _(" in spite of a refusal ({reason})").format(reason=reason) if reason else _(" in spite of a refusal")


def _recheck(entry: Entry) -> Recheck:
    facts = entry.facts
    sure = facts["order_confidence"]
    return Recheck(
        date.fromisoformat(facts["on"]), facts["weeks_before"], sure, certainty(sure), facts["fell"], facts["sentence"]
    )

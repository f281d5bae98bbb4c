"""The answer to a quote: lines that can be had where possible, how sure each is, what stands in, what it costs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from haulm.advice.palette_words import palette_of
from haulm.advice.pieces import PieceAsked
from haulm.advice.quote_places import Counts
from haulm.farm.edits import Row, with_rows
from haulm.farm.orders import Customer, Order, OrderLine
from haulm.farm.products import Product
from haulm.farm.quantities import HAIR, reaches
from haulm.farm.snapshot import Farm
from haulm.farm.words import CustomerKind, Home, OrderKind, OrderStatus, Use
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.grown_here import check_kinds_grown
from haulm.jobs.desk.refusals import DayNotServed
from haulm.jobs.desk.served_days import check_day_served
from haulm.jobs.quotes.draft import (
    QuoteDraft,
    StandInsAgreed,
    WantedFromPieces,
    draft_of_lines,
    draft_of_pieces,
    farms_colours,
    products_of,
    with_stand_ins,
)
from haulm.jobs.quotes.refusals import NothingInSeason
from haulm.jobs.quotes.size import Part, line_part
from haulm.jobs.quotes.stages import with_stage
from haulm.jobs.quotes.version import OtherDate, QuoteVersion
from haulm.planning.hoped_for import LEAST_STEMS, DayOutlook, LeftOver
from haulm.planning.plan import Plan
from haulm.planning.sowings import can_still_be_sown

ENQUIRY = Customer("enquiry", "Enquiry", CustomerKind.WEDDING)
"""Who asks where nobody is named."""
_WEEKS_EARLIER, _WEEKS_LATER = 6, 6


@dataclass(frozen=True, slots=True)
class QuoteAsked:
    """What is asked for.

    Attributes:
        event_date: the day of the wedding or event (for other kinds, the day the stems leave).
        pieces: things to be made, turned into stems by the farm's recipes.
        lines: lines asked as they are; their keys and order are given here.
        customer: key of a customer, or None for an enquiry.
        kind: what the order is for.
        due_date: the day stems leave; None takes the farm's days ahead of the event.
        confidence: the level asked; None takes the farm's for its kind.
        spare_percent: spare for breakage on pieces; None takes the farm's own.
        palette: the palette in words, such as `soft whites with movement`.
        own_arranging: whether the couple arranges: more spare, no labour.
        dried_ok: whether dried stems count.
        no_substitute: whether nothing may stand in for a role.
        stand_ins: whether kinds of the same role and palette may stand in for what lines ask; for pieces others of
            the palette do, unless `no_substitute`.
        unacceptable: keys of kinds the customer will not take.
        homes: who lives in the home that the flowers go to.
    """

    event_date: date
    pieces: tuple[PieceAsked, ...] = ()
    lines: tuple[OrderLine, ...] = ()
    customer: str | None = None
    kind: OrderKind = OrderKind.WEDDING
    due_date: date | None = None
    confidence: float | None = None
    spare_percent: float | None = None
    palette: str = ""
    own_arranging: bool = False
    dried_ok: bool = False
    no_substitute: bool = False
    stand_ins: bool = False
    unacceptable: tuple[str, ...] = ()
    homes: tuple[Home, ...] = ()

    def spare(self, farm: Farm) -> float:
        """The spare on pieces: as asked, or the farm's own, which is more where the couple arranges [%]."""
        rules = farm.site.quotes
        usual = rules.own_arranging_spare_percent if self.own_arranging else rules.spare_percent
        return usual if self.spare_percent is None else self.spare_percent

    def level(self, farm: Farm) -> float:
        """The confidence asked: as said, or the farm's for its kind, 0-1."""
        return farm.site.level_of(self.kind.line_class) if self.confidence is None else self.confidence


@dataclass(frozen=True, slots=True)
class Answered:
    """An order with lines that can be had where possible, and the match with it in its place.

    Attributes:
        order: the order, as it would be held or as it stands.
        draft: its lines with what they came from.
        trial: the farm with it.
        look: what is left over on the day for its lines, without it.
        outlook: how its lines fare from that.
        level: the confidence asked, 0-1.
        other_dates: safer days, where this one is not sure enough.
        moved_from: the day stems usually leave, where another had to be taken.
    """

    order: Order
    draft: QuoteDraft
    trial: Plan
    look: LeftOver
    outlook: DayOutlook
    level: float
    other_dates: tuple[OtherDate, ...]
    moved_from: date | None


def drafted(plan: Plan, asked: QuoteAsked, order: str) -> QuoteDraft:
    """The lines asked for, before anybody looked whether the stems are there, with the stand-ins that are agreed.

    Raises:
        NotAccepted: a piece, a count, a colour or a word of the palette is not accepted.
    """
    crops = plan.crops
    if asked.lines:
        draft = draft_of_lines(asked.lines, order)
        if not asked.stand_ins:
            return draft
        colours = palette_of(asked.palette, farms_colours(crops)).colours if asked.palette else None
    else:
        spare = asked.spare(plan.farm)
        wanted = WantedFromPieces(asked.pieces, asked.palette, spare, asked.dried_ok, asked.no_substitute)
        draft = draft_of_pieces(plan.farm, crops, wanted, order)
        draft = replace(draft, lines=tuple(with_stage(line, crops) for line in draft.lines))
        colours = draft.palette.colours
    return with_stand_ins(draft, crops, StandInsAgreed(colours, asked.dried_ok, asked.unacceptable))


def answered(desk: Desk, base: Plan, asked: QuoteAsked, order: Order, draft: QuoteDraft) -> Answered:
    """The order in its place.

    Args:
        desk: the desk.
        base: the farm without the order.
        asked: what is asked for.
        order: the order, on hold or contracted; its due day may be moved where none was asked.
        draft: its lines.

    Raises:
        DayNotServed: no cut day can serve the day the stems leave.
        NotAccepted: a kind is named that is not grown here.
        NothingInSeason: not one stem can be expected of any line.
    """
    due = _served_day(base, asked, order, draft)
    moved_from = order.due_date if due != order.due_date else None
    order = _on_day(order, due)
    level = asked.level(base.farm)
    look = LeftOver(base, [due])
    outlook = look.outlook(with_products(base, draft, order), at=0)
    trial = _in_place(desk, base, order, draft)
    joint = max(outlook.joint, trial.joint(order.key))
    others = () if reaches(joint, level) else _other_dates(base, draft, order, joint, level)
    if asked.pieces and all(stems < LEAST_STEMS for stems in outlook.expected) and not _in_time(base, draft, order):
        raise NothingInSeason(event=order.event_date or due, others=[other.event_date for other in others])
    return Answered(order, draft, trial, look, outlook, level, others, moved_from)


def _in_place(desk: Desk, base: Plan, order: Order, draft: QuoteDraft) -> Plan:
    """The farm with the order in its place."""
    rows: list[Row] = [*new_customer(base.farm, order), order, *draft.order_lines]
    return desk.planner.trial(base, with_rows(base.farm, rows))


def of_size(asked: QuoteAsked, counts: Counts) -> QuoteAsked:
    """The quote with so many of each piece, or stems of each line; what has none is left out."""
    if asked.pieces:
        pieces = zip(asked.pieces, counts, strict=True)
        return replace(asked, pieces=tuple(replace(piece, count=count) for piece, count in pieces if count))
    lines = [(line, count) for line, count in zip(asked.lines, counts, strict=True) if count]
    return replace(asked, lines=tuple(_smaller(line, count) for line, count in lines))


def _smaller(line: OrderLine, stems: int) -> OrderLine:
    """A line of so many stems, at their share of one price that was agreed for all of it."""
    agreed = line.agreed_price_minor
    share = None if agreed is None else agreed * stems // max(1, line.stems)
    return replace(line, stems=stems, minimum=min(line.minimum, stems), agreed_price_minor=share)


def parts_of(asked: QuoteAsked, trial: Plan, order: Order, draft: QuoteDraft) -> Iterator[Part]:
    """The parts of a quote that may be made smaller: its pieces, else its lines."""
    sure = {o.line.line: o.confidence for o in trial.outlooks if o.line.order == order.key and not o.line.is_spare}
    if asked.pieces:
        for need in draft.needs:
            of_it = [sure.get(line.line.key, 1.0) for line in draft.lines if need.piece in line.pieces]
            sure_of = min(of_it, default=1.0)
            yield Part(need.piece.replace("_", " "), need.count, need.stems, sure_of, need.use is Use.WORN)
        return
    for line in draft.order_lines:
        yield line_part(line, trial.crops, sure.get(line.key, 1.0))


def new_customer(farm: Farm, order: Order) -> Iterable[Customer]:
    """The customer of enquiries, where the farm does not have the one that an order is for."""
    return [] if any(customer.key == order.customer for customer in farm.customers) else [ENQUIRY]


def _in_time(base: Plan, draft: QuoteDraft, order: Order) -> bool:
    """Whether anything asked for could still be sown to flower by the day."""
    kinds = (product for _, products in with_products(base, draft, order) for product in products)
    return can_still_be_sown(base, kinds, order.due_date)


def _served_day(base: Plan, asked: QuoteAsked, order: Order, draft: QuoteDraft) -> date:
    """The day stems leave; where nobody asked for one and it cannot serve the pieces, the nearest day that can."""
    try:
        _check_served(base, draft, order.due_date)
    except DayNotServed:
        if asked.due_date is not None or not asked.pieces:
            raise
        event = order.event_date or order.due_date
        later = [order.due_date + timedelta(days=n) for n in range(1, (event - order.due_date).days + 1)]
        earlier = [order.due_date - timedelta(days=n) for n in range(1, 4)]
        for day in (*later, *(day for day in earlier if day >= base.today)):
            if _is_served(base, draft, day):
                return day
        raise
    return order.due_date


def _check_served(base: Plan, draft: QuoteDraft, due: date) -> None:
    for line in draft.order_lines:
        check_kinds_grown(base.crops, line)
        check_day_served(base.farm.site, base.crops, line, due)


def _is_served(base: Plan, draft: QuoteDraft, due: date) -> bool:
    try:
        _check_served(base, draft, due)
    except DayNotServed:
        return False
    return True


def _on_day(order: Order, due: date) -> Order:
    final = order.final_numbers_date
    return replace(order, due_date=due, final_numbers_date=None if final is None else min(final, due))


def with_products(base: Plan, draft: QuoteDraft, order: Order) -> list[tuple[OrderLine, tuple[Product, ...]]]:
    """The lines of an order, each with the products it may be given."""
    return [(line, products_of(line, base.crops, unacceptable=order.unacceptable)) for line in draft.order_lines]


def _other_dates(base: Plan, draft: QuoteDraft, order: Order, joint: float, level: float) -> tuple[OtherDate, ...]:
    """The nearest day before and after, in whole weeks, that is sure enough; where none is, a surer one."""
    event = order.event_date or order.due_date
    steps = [weeks for weeks in range(-_WEEKS_EARLIER, _WEEKS_LATER + 1) if weeks]
    steps = [weeks for weeks in steps if order.due_date + timedelta(weeks=weeks) >= base.today]
    look = LeftOver(base, [order.due_date + timedelta(weeks=weeks) for weeks in steps])
    lines = with_products(base, draft, order)
    found = {weeks: look.outlook(lines, at=at) for at, weeks in enumerate(steps)}
    sure = [weeks for weeks in steps if reaches(found[weeks].joint, level)]
    before, after = [w for w in sure if w < 0], [w for w in sure if w > 0]
    chosen = [*([max(before)] if before else []), *([min(after)] if after else [])]
    if not chosen:
        best = max(steps, key=lambda weeks: (found[weeks].joint, -abs(weeks)), default=None)
        chosen = [best] if best is not None and found[best].joint > joint + HAIR else []
    return tuple(OtherDate(event + timedelta(weeks=weeks), found[weeks].due, found[weeks].joint) for weeks in chosen)


def held_today(order: Order, today: date) -> Order:
    """The order as a hold made today would have it."""
    return replace(order, status=OrderStatus.ON_HOLD, hold_until=today, committed_on=today)


def asked_again(version: QuoteVersion) -> QuoteAsked:
    """What was asked for with a version made from pieces."""
    return QuoteAsked(
        event_date=version.event_date,
        pieces=tuple(PieceAsked(piece.piece, piece.count, piece.colours) for piece in version.pieces),
        due_date=version.due_date,
        confidence=version.level,
        spare_percent=version.spare_percent,
        palette=version.palette,
        own_arranging=version.own_arranging,
        dried_ok=version.dried_ok,
        no_substitute=version.no_substitute,
        stand_ins=version.stand_ins,
        unacceptable=version.unacceptable,
        homes=tuple(Home(home) for home in version.homes),
    )

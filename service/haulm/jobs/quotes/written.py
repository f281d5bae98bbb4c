"""A quote as one version: what was answered, put into the value that is written down, shown and printed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from haulm.advice.certainty import certainty
from haulm.advice.homes import home_warnings
from haulm.advice.kept_prices import bunch_price_of
from haulm.advice.making import minutes_of
from haulm.advice.pieces import PieceNeeds
from haulm.advice.pricing import LinePrice, PriceList, PriceParts, line_price, order_price
from haulm.farm.batches import Batch
from haulm.farm.orders import Order, OrderLine
from haulm.farm.quantities import percent, reaches
from haulm.farm.site import Site
from haulm.farm.weeks import Week
from haulm.jobs.quotes.answer import Answered, QuoteAsked
from haulm.jobs.quotes.care import care_lines, care_of, kinds_of
from haulm.jobs.quotes.draft import DraftLine, asked_products
from haulm.jobs.quotes.kinds_told import kinds_told
from haulm.jobs.quotes.line_words import joined, wanted_words
from haulm.jobs.quotes.sheet_price import SheetPrice
from haulm.jobs.quotes.sowing_words import sowing_in_words
from haulm.jobs.quotes.version import (
    QuoteVersion,
    RoleStems,
    Safer,
    SaferSowing,
    SheetLine,
    SheetPiece,
)
from haulm.jobs.quotes.wording import hoped_kinds, remarks, stand_in
from haulm.language.words import _
from haulm.matching.reading.free_to_promise import hope_level
from haulm.planning.hoped_for import left_for
from haulm.planning.plan import Plan
from haulm.planning.sowings import sowing_for_order
from haulm.planning.sown_for import day_of, seed_minor


def version_of(found: Answered, asked: QuoteAsked, *, number: int, today: date, seed_minor: int = 0) -> QuoteVersion:
    """The version that says what was answered, with the cost of what is sown for it in its price."""
    site, order = found.trial.farm.site, found.order
    prices = {line.line.key: price_of(found.trial, order, line.line) for line in found.draft.lines}
    pieces = _pieces(found, asked)
    minutes = sum(piece.minutes_each * piece.count for piece in pieces)
    parts = order_price(prices.values(), minutes, site.prices, more_minor=seed_minor)
    joint = found.trial.joint(order.key)
    care = care_of(found.trial, found.draft, order.unacceptable)
    return QuoteVersion(
        number=number,
        made_on=today,
        event_date=order.event_date or order.due_date,
        due_date=order.due_date,
        valid_until=min(today + timedelta(days=site.quotes.valid_days), order.due_date),
        palette=found.draft.palette.text,
        colours=found.draft.palette.colours,
        wishes=tuple(str(role) for role in found.draft.palette.wishes),
        pieces=pieces,
        lines=_lines(found, prices),
        level=found.level,
        order_confidence=joint,
        spare_percent=asked.spare(found.trial.farm) if asked.pieces else 0.0,
        own_arranging=asked.own_arranging,
        dried_ok=asked.dried_ok,
        no_substitute=asked.no_substitute,
        stand_ins=asked.stand_ins,
        unacceptable=order.unacceptable,
        price=sheet_price(parts, site, seed_minor),
        safer=_safer(found, prices.values(), minutes, joint) if asked.pieces else None,
        other_dates=found.other_dates,
        remarks=remarks(found, pieces),
        cautions=care_lines(care),
        take_care=care,
        kinds=kinds_told(found),
        homes=tuple(str(home) for home in dict.fromkeys(asked.homes)),
        home_warnings=home_warnings(asked.homes, kinds_of(found.trial, found.draft.order_lines, order.unacceptable)),
    )


def price_of(plan: Plan, order: Order, line: OrderLine) -> LinePrice:
    """What a line costs: as agreed for all of it, at the price it keeps, or by the list for the week it is due.

    A stand-in costs no more than the line does.
    """
    if line.agreed_price_minor is not None:
        return LinePrice(line.agreed_price_minor, 0)
    prices = PriceList(plan.farm.prices, plan.crops, plan.farm.site.prices)
    bunch = bunch_price_of(line, prices, customer=order.customer, week=Week.of(order.due_date))
    return line_price(line.stems, line.spare, bunch.stem)


def minutes_each(need: PieceNeeds, asked: QuoteAsked, site: Site) -> int:
    """Minutes of making one piece; none where the couple arranges [min]."""
    return 0 if asked.own_arranging else minutes_of(need.piece, need.stems_each, site.quotes.minutes)


def _pieces(found: Answered, asked: QuoteAsked) -> tuple[SheetPiece, ...]:
    needs, site = found.draft.needs, found.trial.farm.site
    every = sum(need.stems for need in needs)
    return tuple(
        SheetPiece(
            piece=need.piece,
            asked=need.asked,
            count=need.count,
            roles=tuple(RoleStems(str(role), stems) for role, stems in need.roles),
            stems_each=need.stems_each,
            stems=need.stems,
            share=need.stems / every,
            use=str(need.use),
            minutes_each=minutes_each(need, asked, site),
            colours=need.colours,
        )
        for need in needs
    )


def _lines(found: Answered, prices: dict[str, LinePrice]) -> tuple[SheetLine, ...]:
    trial, key = found.trial, found.order.key
    sure = {outlook.line.line: outlook.confidence for outlook in trial.outlooks if outlook.line.order == key}
    levels = (found.level, hope_level(found.level))
    free = {
        line.key: left_for(trial, key, line.key, found.order.due_date).sure(
            line, asked_products(line, trial.crops, unacceptable=found.order.unacceptable), levels=levels
        )
        for line in found.draft.order_lines
    }
    names = {crop.key: crop.name for crop in trial.crops.values()}
    return tuple(
        _line(found, line, sure[line.line.key], free[line.line.key], prices[line.line.key], names)
        for line in found.draft.lines
    )


def _line(
    found: Answered, draft: DraftLine, confidence: float, free: Sequence[int], price: LinePrice, names: dict[str, str]
) -> SheetLine:
    line = draft.line
    role = None if draft.role is None else str(draft.role)
    hoped = hoped_kinds(found, draft)
    return SheetLine(
        line=line.key,
        wanted=wanted_words(line, role, draft.colours, names),
        role=role,
        product=None if line.product is None else str(line.product),
        choice=None if line.choice is None else str(line.choice),
        colours=draft.colours,
        pieces=draft.pieces,
        stems=line.stems,
        spare=line.spare,
        free_to_promise=free[0],
        hope_to_offer=free[1],
        confidence=confidence,
        certainty=certainty(confidence),
        hoped_for=hoped,
        stand_in=stand_in(found, draft, hoped),
        left_out=tuple(names[key] for key in draft.barred if key in names),
        stage=line.stage,
        price_minor=price.total_minor,
    )


def sheet_price(parts: PriceParts, site: Site, seed_minor: int = 0) -> SheetPrice:
    """The parts of a price as a version keeps them."""
    return SheetPrice(
        stems_minor=parts.stems_minor,
        spare_minor=parts.spare_minor,
        labour_minutes=parts.labour_minutes,
        labour_minor=parts.labour_minor,
        delivery_minor=parts.delivery_minor,
        tax_percent=site.prices.tax_percent,
        tax_minor=parts.tax_minor,
        total_minor=parts.total_minor,
        seed_minor=seed_minor,
    )


def _safer(found: Answered, prices: Iterable[LinePrice], minutes: int, joint: float) -> Safer | None:
    """The sowings that would make the quote sure enough, with their cost in a second price; None where it is."""
    if reaches(joint, found.level):
        return None
    better = sowing_for_order(found.trial, found.trial.lines_of(found.order.key), found.level)
    if better is None or better.after is None:
        return None
    cost = seed_minor(found.trial, better.batches)
    total = order_price(prices, minutes, found.trial.farm.site.prices, more_minor=cost).total_minor
    what = _("it is safe") if better.closes else _("it is surer, not safe")
    return Safer(
        sowings=tuple(_sowing(found.trial, batch) for batch in better.batches),
        decide_by=min(map(day_of, better.batches)),
        order_confidence=better.after.confidence,
        is_enough=better.closes,
        cost_minor=cost,
        total_minor=total,
        sentence=_("With {sowings} {what}: {confidence} for all of it at once.").format(
            sowings=joined(sowings_in_words(found.trial, better.batches), _("and")),
            what=what,
            confidence=percent(better.after.confidence),
        ),
    )


def sowings_in_words(plan: Plan, batches: Iterable[Batch]) -> tuple[str, ...]:
    """Sowings that would make something surer, each with its day: `80 places of white zinnia on Tue 11 May 2027`."""
    return tuple(sowing_in_words(plan.crops[b.variety], b.method, b.places, day_of(b)) for b in batches)


def _sowing(plan: Plan, batch: Batch) -> SaferSowing:
    name = plan.crops[batch.variety].name
    return SaferSowing(batch.variety, name, str(batch.method), day_of(batch), batch.places, batch.bed)

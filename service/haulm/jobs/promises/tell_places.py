"""Where what a quote asks falls, with the price of each place: put into the version that is written down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from haulm.advice.pricing import order_price
from haulm.advice.quote_places import Counts
from haulm.farm.batches import Batch
from haulm.farm.orders import Order
from haulm.farm_folder.cells import values_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.find_places import FoundPlaces, find_places, largest_told
from haulm.jobs.quotes.answer import Answered, QuoteAsked
from haulm.jobs.quotes.order_parts import TwoParts, draft_of_parts
from haulm.jobs.quotes.places_told import PlacePart, PlaceSowing, PlacesTold, PromisedPlace, SownPlace, WishPlace
from haulm.jobs.quotes.sheet_price import SheetPrice
from haulm.jobs.quotes.size import Part
from haulm.jobs.quotes.sowing_words import sowing_in_words
from haulm.jobs.quotes.version import QuoteVersion
from haulm.jobs.quotes.written import minutes_each, price_of, sheet_price
from haulm.planning.plan import Plan
from haulm.planning.sown_for import day_of, seed_minor


def with_places(desk: Desk, plan: Plan, found: Answered, asked: QuoteAsked, version: QuoteVersion) -> QuoteVersion:
    """A version of a quote that holds nothing yet, with where what it asks falls, and its largest size that passes.

    Args:
        desk: the desk.
        plan: the farm without the order.
        found: the answer to all that is asked.
        asked: what is asked.
        version: the version that says it.
    """
    places = find_places(desk, plan, found, asked)
    told = _told(plan, found.order, asked, places)
    largest = largest_told(places.parts, places.counts.promised, places.stands)
    return replace(version, places=told, largest=largest)


def price_of_parts(plan: Plan, order: Order, asked: QuoteAsked, parts: TwoParts, seed: int = 0) -> SheetPrice:
    """What the parts of an order cost, each by its own lines, with the seed that is sown for them.

    Args:
        plan: the farm.
        order: the order.
        asked: all that was asked.
        parts: how many of it are meant.
        seed: what the seed costs [minor units].
    """
    site = plan.farm.site
    draft = draft_of_parts(plan, asked, order.key, parts)
    prices = [price_of(plan, order, line) for line in draft.order_lines]
    minutes = sum(minutes_each(need, asked, site) * need.count for need in draft.needs)
    return sheet_price(order_price(prices, minutes, site.prices, more_minor=seed), site, seed)


def _told(plan: Plan, order: Order, asked: QuoteAsked, found: FoundPlaces) -> PlacesTold:
    counts = found.counts
    none = tuple(0 for _ in found.parts)
    seed = 0 if found.sown is None else seed_minor(plan, found.sown.batches)
    inner = price_of_parts(plan, order, asked, TwoParts(counts.promised, none)) if any(counts.promised) else None
    larger = price_of_parts(plan, order, asked, TwoParts(counts.promised, counts.sown), seed) if found.sown else inner
    promised = (
        None
        if inner is None
        else PromisedPlace(parts_told(found.parts, counts.promised, asked), found.stands, inner, found.against)
    )
    sown = None
    if found.sown is not None and larger is not None:
        sown = SownPlace(
            parts=parts_told(found.parts, counts.sown, asked),
            sowings=tuple(_sowing(plan, batch) for batch in found.sown.batches),
            sow_by=found.sown.sow_by,
            yes_by=found.sown.yes_by,
            order_confidence=found.larger,
            price=larger,
            more_minor=larger.total_minor - (0 if inner is None else inner.total_minor),
            contract=found.against_larger,
        )
    wish = None
    if any(counts.wished):
        outer = tuple(a + b for a, b in zip(counts.sown, counts.wished, strict=True))
        with_it = price_of_parts(plan, order, asked, TwoParts(counts.promised, outer), seed)
        more = with_it.total_minor - (0 if larger is None else larger.total_minor)
        parts = parts_told(found.parts, counts.wished, asked, found.chances)
        wish = WishPlace(parts, told_on(plan, order), more)
    beyond = parts_told(found.parts, counts.beyond, asked)
    return PlacesTold(asked.pieces, lines_told(asked), counts, promised, sown, wish, beyond)


def told_on(plan: Plan, order: Order) -> date:
    """The day on which the farm says whether a wish comes: with the final numbers, and never before today."""
    event = order.event_date or order.due_date
    day = min(event - timedelta(days=plan.farm.site.quotes.final_numbers_days), order.due_date)
    return max(day, plan.today)


def parts_told(
    parts: Sequence[Part], counts: Counts, asked: QuoteAsked, chances: Sequence[float] = ()
) -> tuple[PlacePart, ...]:
    """So many of each part of what is asked, those of which there are none left out; of a wish with its chances."""
    return tuple(
        PlacePart(
            part.what,
            count,
            round(part.stems * count / part.count),
            bool(asked.pieces),
            chances[place] if chances else None,
        )
        for place, (part, count) in enumerate(zip(parts, counts, strict=True))
        if count
    )


def lines_told(asked: QuoteAsked) -> tuple[dict[str, Any], ...]:
    """The lines that are asked, as values of `order_lines.csv`."""
    return tuple(values_of("order_lines", replace(line, key="line", order="quote")) for line in asked.lines)


def _sowing(plan: Plan, batch: Batch) -> PlaceSowing:
    crop, day = plan.crops[batch.variety], day_of(batch)
    return PlaceSowing(
        variety=batch.variety,
        name=crop.name,
        method=str(batch.method),
        form=str(batch.form),
        sow_date=day,
        places=batch.places,
        trays=batch.trays,
        bed=batch.bed,
        metres=batch.metres,
        said=sowing_in_words(crop, batch.method, batch.places, day),
    )

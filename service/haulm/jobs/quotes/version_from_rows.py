"""An order that was never quoted here (it came with an import), as a version of a quote: what its rows say."""

from __future__ import annotations

from haulm.advice.certainty import certainty
from haulm.advice.pricing import order_price
from haulm.farm.orders import Order, OrderLine
from haulm.jobs.quotes.care import care_lines, care_of
from haulm.jobs.quotes.draft import DraftLine, QuoteDraft, stand_ins_of
from haulm.jobs.quotes.line_words import wanted_words
from haulm.jobs.quotes.sheet_price import SheetPrice
from haulm.jobs.quotes.version import QuoteVersion, SheetLine
from haulm.jobs.quotes.written import price_of
from haulm.language.words import _
from haulm.planning.plan import Plan


def version_from_rows(plan: Plan, order: Order) -> QuoteVersion:
    """The order as its rows say; nobody made pieces of it, and what it costs is what its lines keep, else the list."""
    lines = tuple(line for line in plan.farm.order_lines if line.order == order.key)
    prices = [price_of(plan, order, line) for line in lines]
    parts = order_price(prices, 0, plan.farm.site.prices)
    care = care_of(plan, QuoteDraft(tuple(map(DraftLine, lines))), order.unacceptable)
    sure = {outlook.line.line: outlook.confidence for outlook in plan.outlooks if not outlook.line.is_spare}
    return QuoteVersion(
        number=1,
        made_on=order.committed_on or plan.today,
        event_date=order.event_date or order.due_date,
        due_date=order.due_date,
        valid_until=order.due_date,
        palette="",
        colours=(),
        wishes=(),
        pieces=(),
        lines=tuple(
            _line(plan, order, line, sure.get(line.key, 0.0), price.total_minor)
            for line, price in zip(lines, prices, strict=True)
        ),
        level=plan.farm.site.level_of(order.kind.line_class),
        order_confidence=plan.joint(order.key),
        spare_percent=0.0,
        own_arranging=False,
        dried_ok=False,
        no_substitute=bool(lines) and all(line.no_substitute for line in lines),
        unacceptable=order.unacceptable,
        price=SheetPrice(
            parts.stems_minor,
            parts.spare_minor,
            parts.labour_minutes,
            parts.labour_minor,
            parts.delivery_minor,
            plan.farm.site.prices.tax_percent,
            parts.tax_minor,
            parts.total_minor,
        ),
        cautions=care_lines(care),
        take_care=care,
    )


def _line(plan: Plan, order: Order, line: OrderLine, confidence: float, price_minor: int) -> SheetLine:
    names = {crop.key: crop.name for crop in plan.crops.values()}
    role = None if line.choice is None or not line.choice.roles else _(" or ").join(line.choice.roles)
    colours = () if line.choice is None else line.choice.colours
    stands = [names[product.variety] for product in stand_ins_of(line, unacceptable=order.unacceptable)]
    return SheetLine(
        line=line.key,
        wanted=wanted_words(line, role, colours, names),
        role=role,
        product=None if line.product is None else str(line.product),
        choice=None if line.choice is None else str(line.choice),
        colours=colours,
        pieces=(),
        stems=line.stems,
        spare=line.spare,
        free_to_promise=0,
        confidence=confidence,
        certainty=certainty(confidence),
        hoped_for=(),
        stand_in=_("Stands in: {stands}.").format(stands=_(" or ").join(stands)) if stands else "",
        left_out=(),
        stage=line.stage,
        price_minor=price_minor,
    )

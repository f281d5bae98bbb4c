"""Usual sales: what each would get of the stems that nobody was promised, and the money hoped for.

Nothing of it goes back into the plan: a second count on a match that stands.
"""

from __future__ import annotations

from haulm.advice.pricing import answering
from haulm.demand.usual import Hope, hopes
from haulm.farm.products import Product
from haulm.farm.quantities import half_of
from haulm.farm.usual_sales import UsualSale
from haulm.farm.weeks import Week
from haulm.matching.allocation.candidates import chosen
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.hoped import HopedAsk, hoped
from haulm.matching.windows import Window
from haulm.planning.plan import Plan
from haulm.planning.sowing_search import stem_price
from haulm.planning.usual_figures import Hoped, HopedWeek, SaleOutlook


def hoped_for(plan: Plan, result: MatchResult | None = None) -> Hoped:
    """The usual sales against what is left of the plan's match, or of another one on the same day.

    Hopes beyond the days that the forecast reaches are left out.
    """
    match = plan.result if result is None else result
    found = tuple(hope for hope in hopes(plan.farm, plan.today) if plan.growth.reaches(hope.due))
    asks = tuple(ask_of(plan, hope, match) for hope in found)
    prices = tuple(price_of(plan, hope) for hope in found)
    return Hoped(match, found, asks, hoped(match, asks), prices)


def sale_outlooks(plan: Plan, found: Hoped) -> tuple[SaleOutlook, ...]:
    """What each usual sale would get, in the order in which the rows were written."""
    weeks: dict[str, list[HopedWeek]] = {sale.key: [] for sale in plan.farm.usual_sales}
    for hope, week in found.weeks():
        weeks[hope.sale.key].append(week)
    return tuple(SaleOutlook(sale, tuple(weeks[sale.key])) for sale in plan.farm.usual_sales)


def money_by_week(found: Hoped) -> tuple[tuple[Week, float], ...]:
    """Money hoped for in each week, the earliest first; weeks without any are left out [minor units]."""
    by_week: dict[Week, float] = {}
    for hope, week in found.weeks():
        at = Week.of(hope.due)
        by_week[at] = by_week.get(at, 0.0) + week.minor
    return tuple(sorted((week, minor) for week, minor in by_week.items() if minor))


def ask_of(plan: Plan, hope: Hope, match: MatchResult) -> HopedAsk:
    """What a hope asks of a match: as a line of this product or choice would, of any length."""
    sale = hope.sale
    if sale.product is not None:
        return HopedAsk(Window(hope.due), sale.stems, (sale.product,))
    assert sale.choice is not None, "a usual sale is of a product or a choice"
    known = [product for product in match.supply.by_product if chosen(sale.choice, product, plan.growth.keeping)]
    return HopedAsk(Window(hope.due), sale.stems, tuple(sorted(known)), half_of(sale.stems))


def price_of(plan: Plan, hope: Hope) -> float:
    """The price of a stem: the sale's own, else that of the list for its week [minor units]."""
    sale = hope.sale
    if sale.stem_price_minor is not None:
        return float(sale.stem_price_minor)
    return stem_price(plan, products_of(plan, sale), sale.customer, hope.due)


def products_of(plan: Plan, sale: UsualSale) -> tuple[Product, ...]:
    """The farm's products that would do."""
    if sale.product is not None:
        return (sale.product,)
    assert sale.choice is not None, "a usual sale is of a product or a choice"
    return answering(sale.choice, plan.crops)

"""Usual sales as dated hopes, kept apart from demand so that no promise can depend on them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulm.farm.snapshot import Farm
from haulm.farm.usual_sales import UsualSale
from haulm.farm.weeks import weeks_between
from haulm.farm.words import UsualSource

# The order in which the words of the list are written is the order of service.
_RANK = {source: rank for rank, source in enumerate(UsualSource)}


@dataclass(frozen=True, slots=True)
class Hope:
    """One usual sale in one week, and the day its stems would leave."""

    sale: UsualSale
    due: date


def hopes(farm: Farm, today: date) -> tuple[Hope, ...]:
    """Every usual sale in each of its weeks from today on, in the order in which they are served.

    By due day; of one day florists before wish sheets before the stall; then by key (by code point).
    """
    found = [
        Hope(sale, week.day(sale.weekday or farm.site.bucket_day))
        for sale in farm.usual_sales
        for week in weeks_between(sale.first_week, sale.last_week)
    ]
    return tuple(
        sorted(
            (hope for hope in found if hope.due >= today),
            key=lambda hope: (hope.due, _RANK[hope.sale.source], hope.sale.key),
        )
    )

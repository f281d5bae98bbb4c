"""What a bunch costs anybody, by the farm's price list."""

from __future__ import annotations

from haulm.advice.pricing import PriceList, whole_minor
from haulm.farm.products import Product
from haulm.farm.weeks import Week
from haulm.jobs.desk.money_words import money_words
from haulm.planning.plan import Plan


def bunch_price(plan: Plan, product: Product, otherwise: str) -> str:
    """The price of a bunch of the shortest length, or other words where the farm has none."""
    farm, crop = plan.farm, plan.crops[product.variety]
    stem = PriceList(farm.prices, plan.crops, farm.site.prices).stem_price(
        product, customer=None, week=Week.of(plan.today)
    )
    return money_words(whole_minor(stem * crop.bunch_stems), farm.site.currency) if stem else otherwise

"""What to mind of what is asked for, wherever it is shown."""

from __future__ import annotations

from haulm.farm.products import Product
from haulm.planning.plan import Plan


def caution_of(plan: Plan, asked: str) -> str:
    """What to mind of a product that is asked for; a choice names no kind, so its caution comes with the kind taken."""
    if "=" in asked:
        return ""
    crop = plan.crops.get(Product.parse(asked).variety)
    return "" if crop is None else crop.caution or ""

"""How many stems a bunch of something has, for a customer who may have a bunch of their own."""

from __future__ import annotations

from haulm.crop_library.library import crop_for
from haulm.farm.orders import Order, StandingOrder
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm


def bunch_size(farm: Farm, product: Product, customer: str | None) -> int | None:
    """Stems in a bunch: the customer's own as the prices say it, else everybody's there, else the kind's [stems].

    Args:
        farm: the farm.
        product: what is in the bunch.
        customer: key of whoever it is for, or None.

    Returns:
        None where the farm does not grow the kind.
    """
    for whose in dict.fromkeys((customer, None)):
        sizes = [row.bunch_stems for row in farm.prices if row.product == product and row.customer == whose]
        # The row that was written last is the newest habit.
        found = next((size for size in reversed(sizes) if size is not None), None)
        if found is not None:
            return found
    variety = next((row for row in farm.varieties if row.key == product.variety), None)
    return None if variety is None else crop_for(variety).bunch_stems


def customer_of(farm: Farm, order: str) -> str | None:
    """The key of the customer of an order, standing or dated; None where there is no such order."""
    orders: tuple[StandingOrder | Order, ...] = (*farm.standing_orders, *farm.orders)
    return next((one.customer for one in orders if one.key == order), None)

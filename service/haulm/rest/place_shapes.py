"""Where what a quote asks falls, as it is sent."""

from __future__ import annotations

from typing import Any

from haulm.jobs.desk.facts import facts_of
from haulm.jobs.quotes.places_told import PlacesTold
from haulm.rest.wire import Shape


class PriceShape(Shape):
    """What the price is made of, in minor units; the parts add up to the total."""

    stems_minor: int
    spare_minor: int
    labour_minutes: int
    labour_minor: int
    delivery_minor: int
    tax_percent: float
    tax_minor: int
    total_minor: int
    seed_minor: int


class PlacePartShape(Shape):
    """So much of what was asked: pieces, or stems. `likelihood` of a wish is for the grower alone."""

    what: str
    count: int
    stems: int
    is_piece: bool
    likelihood: float | None


class PromisedPlaceShape(Shape):
    """What may be promised today; `order_confidence` of all of it at once, were it held today.

    `contract` says in words what stood against a contract of it that day, and is empty where nothing did.
    """

    parts: list[PlacePartShape]
    order_confidence: float
    price: PriceShape
    contract: str


class PlaceSowingShape(Shape):
    """A batch that is sown once there is a yes, or planted; `said` is all of it in words."""

    variety: str
    name: str
    method: str
    form: str
    sow_date: str
    places: int
    trays: float | None
    bed: str | None
    metres: float | None
    said: str


class SownPlaceShape(Shape):
    """What becomes a promise with a yes by `yes_by`; `price` is that of the larger part, `more_minor` what it adds.

    `contract` is of the larger part what it is of the smaller.
    """

    parts: list[PlacePartShape]
    sowings: list[PlaceSowingShape]
    sow_by: str
    yes_by: str
    order_confidence: float
    price: PriceShape
    more_minor: int
    contract: str


class WishPlaceShape(Shape):
    """What may come: nothing is kept for it, the farm says on `told_on` whether it does, and it is paid only then."""

    parts: list[PlacePartShape]
    told_on: str
    more_minor: int


class PlacesShape(Shape):
    """Where what is asked falls; what is beyond the field has no price. A place into which nothing falls is null."""

    promised: PromisedPlaceShape | None
    sown: SownPlaceShape | None
    wish: WishPlaceShape | None
    beyond: list[PlacePartShape]


def places_shape(places: PlacesTold | None) -> PlacesShape | None:
    """The places as they are sent."""
    if places is None:
        return None
    names = ("promised", "sown", "wish", "beyond")
    sent: dict[str, Any] = {name: facts_of(getattr(places, name)) for name in names}
    return PlacesShape(**sent)

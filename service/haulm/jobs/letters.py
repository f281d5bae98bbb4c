"""Letters that jobs queue: what each kind tells, as facts without names or addresses."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from haulm.advice.asked_words import asked_in_words
from haulm.advice.sprayed import sprays_on
from haulm.farm.place_words import Place
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.warnings import general_words, handling_notes, kinds_among, only_dried, warnings_at
from haulm.jobs.listed import stems_listed
from haulm.store.outbox import Letter

CONFIRMED_LIST = "list-confirmed"


def confirmed_letters(
    farm: Farm, crops: Mapping[str, Crop], day: date, customers: Iterable[Mapping[str, Any]]
) -> Iterable[Letter]:
    """One letter to each customer of a confirmed list who has an address.

    Args:
        farm: the farm.
        crops: every variety, for its name.
        day: the bucket day.
        customers: the list as it is kept, by customer.
    """
    told = {customer.key for customer in farm.customers if customer.email}
    for found in customers:
        if found["customer"] in told:
            yield confirmed_letter(farm, crops, day, found, key=f"{CONFIRMED_LIST}/{day}/{found['customer']}")


def confirmed_letter(
    farm: Farm,
    crops: Mapping[str, Crop],
    day: date,
    customer: Mapping[str, Any],
    *,
    key: str,
    correction: bool = False,
) -> Letter:
    """The letter of one customer's part of a list; a correction says that it takes the place of the one before."""
    stems = list(stems_listed(customer["lines"]))
    products = [product for product, _ in stems]
    kinds = kinds_among(products, crops)
    warned = warnings_at(Place.CONDITIONING, kinds, only_dried(products))
    facts = {
        "farm": farm.site.name,
        "day": day.isoformat(),
        "correction": correction,
        "lines": [_line(line, crops) for line in customer["lines"]],
        "care": [str(one) for one in warned] + list(general_words(Place.CONDITIONING) if kinds else ()),
        "handling": list(handling_notes(kinds)),
        "sprays": list(sprays_on(farm, crops, stems, day)),
    }
    return Letter(CONFIRMED_LIST, customer["customer"], facts, key)


def _line(line: Mapping[str, Any], crops: Mapping[str, Crop]) -> dict[str, Any]:
    given: dict[str, int] = {}
    for source in line["from"]:
        given[source["product"]] = given.get(source["product"], 0) + source["stems"]
    # The letter says the care of every kind once; a kind that is grown no more has its caution on the list alone.
    is_known = all(Product.parse(product).variety in crops for product in given)
    return {
        "due": line["due"],
        "asked": asked_in_words(line["product"] or line["choice"], crops),
        "ordered": line["asked"],
        "supplied": line["filled"],
        "bunches": line["bunches"],
        "given": [
            {
                "stems": stems,
                "name": asked_in_words(product, crops),
                "is_substitute": line["product"] not in (None, product),
            }
            for product, stems in given.items()
        ],
        "why": _why(line),
        "caution": "" if is_known else line["caution"],
    }


def _why(line: Mapping[str, Any]) -> str:
    if line["filled"] >= line["asked"]:
        return ""
    if line["share"] is not None:
        return "There were not enough for everybody; we shared them evenly."
    return "There were not enough of them."

"""Letters that jobs queue: what each kind tells, as facts without names or addresses."""

from __future__ import annotations

from collections.abc import Mapping
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


def settled_letter(
    farm: Farm, crops: Mapping[str, Crop], part: Mapping[str, Any], entry: int, *, correction: bool
) -> Letter:
    """The letter of one delivery that was settled; a correction says that it takes the place of the one before.

    Args:
        farm: the farm.
        crops: every variety, for its name.
        part: the customer, and the delivery's lines as they are kept.
        entry: the entry that settled it.
        correction: whether it was settled before, and taken back.
    """
    due, order = part["lines"][0]["due"], part["lines"][0]["order"]
    stems = list(stems_listed(part["lines"]))
    products = [product for product, _ in stems]
    kinds = kinds_among(products, crops)
    warned = warnings_at(Place.CONDITIONING, kinds, only_dried(products))
    facts = {
        "farm": farm.site.name,
        "day": due,
        "correction": correction,
        "lines": [_line(line, crops) for line in part["lines"]],
        "care": [str(one) for one in warned] + list(general_words(Place.CONDITIONING) if kinds else ()),
        "handling": list(handling_notes(kinds)),
        "sprays": list(sprays_on(farm, crops, stems, date.fromisoformat(due))),
    }
    return Letter(CONFIRMED_LIST, part["customer"], facts, f"{CONFIRMED_LIST}/{order}/{due}/{entry}")


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

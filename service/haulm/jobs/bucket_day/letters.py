"""Letters of a week's list: what each tells, as facts without names or addresses."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from haulm.advice.sprayed import sprays_on
from haulm.farm.place_words import Place
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.warnings import general_words, handling_notes, kinds_among, only_dried, warnings_at
from haulm.jobs.bucket_day.confirmed_lists import SettledDelivery
from haulm.jobs.bucket_day.listed import stems_listed
from haulm.jobs.bucket_day.told_week import ToldDelivery, ToldLine, told_settled
from haulm.store.outbox import Letter

CONFIRMED_LIST, EXPECTED_LIST = "list-confirmed", "list-expected"


def settled_letter(
    farm: Farm, crops: Mapping[str, Crop], one: SettledDelivery, entry: int, *, correction: bool
) -> Letter:
    """The letter of one delivery that was settled; a correction says that it takes the place of the one before.

    Args:
        farm: the farm.
        crops: every variety, for its name.
        one: the delivery as it is settled now.
        entry: the entry that settled or corrected it.
        correction: whether an earlier letter told more.
    """
    due = one.due.isoformat()
    stems = list(stems_listed(one.lines))
    products = [product for product, _ in stems]
    kinds = kinds_among(products, crops)
    warned = warnings_at(Place.CONDITIONING, kinds, only_dried(products))
    told = told_settled(one, crops).lines
    facts = {
        "farm": farm.site.name,
        "day": due,
        "correction": correction,
        "lines": [_line(line, kept, due, crops) for line, kept in zip(told, one.lines, strict=True)],
        "care": [str(one) for one in warned] + list(general_words(Place.CONDITIONING) if kinds else ()),
        "handling": list(handling_notes(kinds)),
        "sprays": list(sprays_on(farm, crops, stems, one.due)),
    }
    return Letter(CONFIRMED_LIST, one.customer, facts, f"{CONFIRMED_LIST}/{one.order}/{due}/{entry}")


def expected_letter(farm: Farm, day: date, customer: str, told: Iterable[ToldDelivery]) -> Letter:
    """The letter of what is expected for one customer of a bucket day; one customer and day have one."""
    facts = {
        "farm": farm.site.name,
        "day": day.isoformat(),
        "deliveries": [
            {
                "due": one.due.isoformat(),
                "next_look": None if one.next_look is None else one.next_look.isoformat(),
                "lines": [
                    {
                        "asked": line.asked,
                        "ordered": line.ordered,
                        "yours": line.yours,
                        "up_to": line.up_to,
                        "words": line.words,
                    }
                    for line in one.lines
                ],
            }
            for one in told
        ],
    }
    return Letter(EXPECTED_LIST, customer, facts, f"{EXPECTED_LIST}/{day}/{customer}")


def _line(told: ToldLine, kept: Mapping[str, Any], due: str, crops: Mapping[str, Crop]) -> dict[str, Any]:
    # The letter says the care of every kind once; a kind that is grown no more has its caution on the list alone.
    is_known = all(product.variety in crops for product, _ in stems_listed([kept]))
    return {
        "due": due,
        "asked": told.asked,
        "ordered": told.ordered,
        "supplied": told.yours,
        "bunches": told.bunches,
        "words": told.words,
        "given": [{"stems": one.stems, "name": one.name, "is_substitute": one.is_substitute} for one in told.given],
        "why": told.why,
        "caution": "" if is_known else kept["caution"],
    }

"""How a past year was grown is what its row says, else the usual way of its kind on its day."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from haulm.crop_library.library import crop_for
from haulm.evidence.how_grown import is_dated, method_of
from haulm.farm.past_years import PastYear
from haulm.farm.varieties import Variety
from haulm.farm.words import LifeCycle, Method
from support.demo_farms import demo_farm

SITE = demo_farm().site


def way(variety: Variety, sown: str | None = None, method: Method | None = None) -> tuple[Method, bool]:
    """The method, and whether a first cut counts."""
    row = PastYear("y", 2026, variety.key, sow_date=dt.date.fromisoformat(sown) if sown else None, method=method)
    return method_of(SITE, row, crop_for(variety)), is_dated(SITE, row, crop_for(variety))


@pytest.mark.parametrize(
    ("kind", "sown", "method", "dated"),
    [
        ("peony", None, Method.ESTABLISHED, True),
        ("lilac", "2023-11-01", Method.ESTABLISHED, True),
        ("tulip", None, Method.ESTABLISHED, True),
        ("tulip", "2025-11-01", Method.ESTABLISHED, True),
        ("dahlia", "2026-05-02", Method.TUBER, True),
        ("dahlia", None, Method.TUBER, False),
        ("zinnia", "2026-04-10", Method.HEATED, True),
        ("zinnia", "2026-07-20", Method.DIRECT, True),
        ("zinnia", None, Method.HEATED, False),
        ("larkspur", "2026-03-20", Method.DIRECT, True),
        ("larkspur", "2026-02-20", Method.COVER, True),
        ("sweet_william", "2025-06-15", Method.COVER, True),
        ("lisianthus", "2026-02-01", Method.HEATED, True),
        ("lisianthus", "2026-05-15", Method.PLUGS, True),
    ],
)
def test_the_usual_way_is_that_of_the_kind_on_the_day(kind: str, sown: str | None, method: Method, dated: bool) -> None:
    assert way(Variety(kind, kind), sown) == (method, dated)


def test_what_the_row_says_goes_before_the_usual_way() -> None:
    peony, zinnia = Variety("peony", "Peony"), Variety("zinnia", "Zinnia")

    assert way(peony, "2025-03-01", Method.COVER)[0] is Method.COVER
    assert way(zinnia, method=Method.ESTABLISHED) == (Method.ESTABLISHED, True)


@pytest.mark.parametrize("life_cycle", LifeCycle)
def test_a_kind_that_nobody_knows_is_grown_as_its_life_cycle_says(life_cycle: LifeCycle) -> None:
    usual = {
        LifeCycle.HARDY_ANNUAL: Method.COVER,
        LifeCycle.HALF_HARDY_ANNUAL: Method.HEATED,
        LifeCycle.TENDER_ANNUAL: Method.HEATED,
        LifeCycle.BIENNIAL: Method.COVER,
        LifeCycle.PERENNIAL: Method.ESTABLISHED,
        LifeCycle.BULB_TUBER: Method.TUBER,
    }
    assert way(Variety("unheard_of", "Unheard of", life_cycle=life_cycle), "2026-04-01")[0] is usual[life_cycle]


def test_the_life_cycle_that_the_farm_says_goes_before_the_library() -> None:
    assert way(replace(Variety("zinnia", "Zinnia"), life_cycle=LifeCycle.PERENNIAL))[0] is Method.ESTABLISHED

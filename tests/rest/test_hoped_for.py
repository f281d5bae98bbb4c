"""What is hoped for, by REST: apart from promises, in figures that add up."""

from collections.abc import Callable

import pytest

from support.door import Door
from support.farms import grower_folder

STOCK = "key,product,ready_date,cut_date,stems,usable_until\nin-store,lagurus,2027-06-10,2027-06-14,50,2027-06-30"
SALES = """
    key,source,product,stems,first_week,last_week,weekday,stem_price_minor
    stall,stall,lagurus,30,2027-W24,2027-W26,fri,50
"""


@pytest.fixture
def farm(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    """A farm with stems in the store and a stall, on 14 June 2027."""
    return open_door(grower_folder(varieties="key,name\nlagurus,Hare's-tail", known_stems=STOCK, usual_sales=SALES))


def test_what_is_left_is_hoped_for_once_and_its_money_adds_up(farm: Door) -> None:
    found = farm.get("/v1/hoped-for")

    (sale,) = found["sales"]
    assert [week["stems"] for week in sale["weeks"]] == [30, 0, 0]
    assert found["minor"] == sale["minor"] == 50 * sum(week["stems"] for week in sale["weeks"])
    assert found["minor"] == sum(week["minor"] for week in found["weeks"])


def test_what_is_free_is_the_same_without_it(farm: Door) -> None:
    free = farm.get("/v1/availability")
    assert farm.ask("DELETE", "/v1/usual-sales/stall").json()["stems"] == 30

    after = farm.get("/v1/availability")
    for answer in (free, after):
        answer.pop("version", None)
    assert after == free


def test_nothing_is_to_be_sown_where_nothing_grows(farm: Door) -> None:
    assert farm.get("/v1/hoped-for/sowings") == {"sowings": []}

"""The next season by REST: a season copied once, its standing orders renewed, what is to be ordered."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from support.door import Door
from support.season_farm import season_farm


@pytest.fixture
def season(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    return open_door(season_farm())


def test_a_season_is_asked_copied_and_taken_back(season: Door) -> None:
    shown = season.get("/v1/next-year")
    assert (shown["season"], shown["into"], shown["seasons"], shown["over_full"]) == (2027, 2028, [2027, 2028], [])
    by_key = {one["batch"]: one for one in shown["sowings"]}
    assert by_key["zinnia-1"]["copy_begun"] == "2028-04-17" and by_key["zinnia-1"]["proposed"]
    assert by_key["dahlia-1"]["stays"] == "tuber" and not by_key["dahlia-1"]["proposed"]
    assert {one["variety"] for one in shown["kinds"] if one["why_not"]} == {"cornflower", "sunflower_single"}
    assert {one["batch"]: one["stays"] for one in shown["standing"]} == {"peony-1": "perennial", "william-1": "winters"}

    written = season.post("/v1/next-year", {})
    assert sorted(written["batches"]) == sorted(one["copy_key"] for one in shown["sowings"] if one["proposed"])
    assert season.post("/v1/next-year", {})["batches"] == []

    (entry,) = [one for one in season.get("/v1/journal")["entries"] if "copied into the next" in one["what"]]
    season.post(f"/v1/journal/{entry['entry']}/take-back", {})
    assert season.get("/v1/next-year") == shown


def test_a_sowing_that_is_none_of_the_season_is_refused(season: Door) -> None:
    refused = season.refused(422, "POST", "/v1/next-year", json={"season": 2027, "batches": ["peony-1"]})
    assert "a sowing of the season" in refused["detail"]
    assert season.refused(422, "GET", "/v1/next-year?season=2040")


def test_standing_orders_are_renewed_or_end(season: Door) -> None:
    orders = {one["order"]: one for one in season.get("/v1/next-year/standing-orders")["orders"]}
    assert orders["anna-weekly"]["standing"] == "open" and orders["anna-weekly"]["first_week"] == "2028-W30"

    answer = season.post("/v1/next-year/standing-orders/anna-weekly", {"what": "renew", "stems": {"anna-1": 8}})
    assert answer == {"what": "renew", "order": "anna-weekly-in-2028"}
    season.post("/v1/next-year/standing-orders/bram-weekly", {"what": "let_end"})
    orders = {one["order"]: one["standing"] for one in season.get("/v1/next-year/standing-orders")["orders"]}
    assert orders == {"anna-weekly": "renewed", "bram-weekly": "let_end"}
    assert season.get("/v1/standing-lines/anna-1-in-2028")["stems"] == 8


def test_the_order_list_is_the_plan_less_what_is_ticked(season: Door) -> None:
    season.post("/v1/next-year", {})
    found = season.get("/v1/next-year/order-list")
    assert (found["season"], found["seasons"]) == (2028, [2027, 2028])
    zinnia = next(one for one in found["rows"] if one["variety"] == "zinnia")
    assert (zinnia["what"], zinnia["to_order"], zinnia["order_by"]) == ("seed", 200, "2028-04-10")
    assert zinnia["sentence"] == "seed for 200 places: 200 places in 2 sowings"
    assert season.refused(422, "GET", "/v1/next-year/order-list?season=2040")

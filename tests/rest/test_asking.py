"""Why, outlook, may promise and what if, as they are sent; none of them changes the farm."""

import random
from argparse import Namespace
from datetime import date
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

from haulm.matching.reading.free_to_promise import hope_level
from haulm_cli.commands.why import COMMAND
from haulm_cli.tables import Screen
from support import scale
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.known_farm import PARTY, growing_farm, known_farm
from support.random_known_farms import TODAY, random_known_farm

FARMS = scale.count(usual=20, large=500)
BIG = {**PARTY, "order_lines": PARTY["order_lines"].replace("party-1,party,20", "party-1,party,70")}


def adds_up(found: dict[str, Any]) -> None:
    """What a hand would check in a certificate."""
    assert found["filled"] + found["missing"] == found["asked"]
    assert found["filled"] == (0 if found["below_minimum"] else found["could_have"])
    parts = [*(pool["could_have"] for pool in found["used_up"]), *(part["stems"] for part in found["at_limit"])]
    assert found["could_have"] == sum(parts) or not found["missing"]
    for pool in found["used_up"]:
        assert pool["stems"] == sum(lot["stems"] for lot in pool["lots"])
        assert pool["held"] == sum(held["stems"] for held in pool["held_by"])
        assert pool["stems"] == pool["could_have"] + pool["held"]


def printed_sums_add_up(found: dict[str, Any]) -> None:
    """What a hand would check on paper: under each product the lots, what others hold, and what is left."""
    rows = [line.split() for line in COMMAND.show(found, Namespace(), Screen(width=100))]
    counted, held, totals = [], [], []
    for row in rows:
        if len(row) > 1 and row[0].isdigit() and row[1] != "%":  # a share of the seasons, no stems
            {"of": counted, "-": held, "=": totals}[row[1]].append(int(row[0]))
    assert len(totals) == 2 * len(found["used_up"])
    assert (sum(counted), sum(totals[::2]) - sum(held)) == (sum(totals[::2]), sum(totals[1::2]))


def test_a_certificate_names_the_stems_and_who_holds_them(open_door: Any) -> None:
    found = open_door(known_farm(**BIG)).get("/v1/match/party-1/why", due="2027-06-18")

    (pool,) = found["used_up"]
    assert (found["asked"], found["filled"], found["missing"], found["season"]) == (70, 35, 35, "expected")
    assert pool["lots"] == [{"ready_date": "2027-06-14", "stems": 60, "cut_date": None, "stock": "k1"}]
    assert [(held["line"], held["class"], held["stems"]) for held in pool["held_by"]] == [("anna-1", "standing", 25)]
    adds_up(found)


@pytest.mark.parametrize("number", range(FARMS))
def test_every_short_line_of_a_random_farm_adds_up(number: int, tmp_path: Path) -> None:
    told = random_known_farm(random.Random(number))
    store = sqlite_store(tmp_path)
    with Door(desk_over(store, told.folder, today=TODAY)) as door:
        for line in door.get("/v1/match")["lines"]:
            found = door.get(f"/v1/match/{line['line']}/why", due=line["due"])
            assert (found["filled"], found["missing"]) == (line["filled"], line["stems"] - line["filled"])
            adds_up(found)
            printed_sums_add_up(found)
    store.close()


def test_every_short_line_of_the_demo_farm_adds_up_as_it_is_printed(tmp_path: Path) -> None:
    with resources.as_file(resources.files("haulm.demo_farm").joinpath("folder")) as folder:
        files = {path.name: path.read_bytes() for path in folder.iterdir()}
    store = sqlite_store(tmp_path)
    with Door(desk_over(store, files, today=date(2027, 3, 15))) as door:
        short = [line for line in door.get("/v1/match")["lines"] if line["filled"] < line["stems"]]
        assert len(short) > 3
        for line in short:
            found = door.get(f"/v1/match/{line['line']}/why", due=line["due"])
            assert (found["asked"], found["filled"]) == (line["stems"], line["filled"])
            adds_up(found)
            printed_sums_add_up(found)
    store.close()


def test_a_line_that_is_not_there_is_not_found(party_door: Door) -> None:
    problem = party_door.refused(404, "GET", "/v1/match/party-1/why", params={"due": "2027-06-19"})

    assert problem["key"] == "party-1"


def test_the_outlook_tells_orders_classes_and_what_is_left(party_door: Door) -> None:
    found = party_door.get("/v1/outlook", confidence=0.9)

    assert found["confidence"] == 0.9
    assert found["orders"][1] == {
        "order": "party",
        "customer": "bram",
        "due": "2027-06-18",
        "class": "one_off",
        "lines": 1,
        "joint_confidence": 1.0,
        "expected_missing": 0.0,
        "level": 0.9,
        "sure": True,
    }
    assert [item["class"] for item in found["classes"]] == ["standing", "one_off", "spare"]
    assert found["left_over"][0] == {"product": "lagurus", "week": "2027-W24", "p10": 10, "p50": 10, "p90": 10}


def test_what_may_be_promised_can_be_promised_and_one_more_cannot(door: Door) -> None:
    found = door.post("/v1/may-promise", {"product": "lagurus", "due": "2027-06-18", "customer": "bram"})
    assert (found["stems"], found["confidence"], found["at_more_confidence"]) == (35, 1.0, 0.0)

    ask = {"date": "2027-06-18", "kind": "one_off", "customer": "bram"}
    for stems, status in ((36, 409), (35, 200)):
        quote = door.post("/v1/quotes", {**ask, "lines": [{"product": "lagurus", "stems": stems}]})["id"]
        assert door.ask("POST", f"/v1/quotes/{quote}/contract").status_code == status


def test_what_may_be_hoped_for_stands_beside_it_and_is_more_where_seasons_differ(open_door: Any) -> None:
    door = open_door(growing_farm())
    more = {"variety": "lagurus", "sow_date": "2027-06-14", "method": "direct", "sown": 200, "plants": 150}
    door.post("/v1/batches", more)
    asked = {"product": "lagurus", "due": "2027-09-21", "kind": "wedding", "confidence": 0.8}
    found = door.post("/v1/may-promise", asked)

    assert found["hope_to_offer"] > found["stems"]
    assert f"({found['hope_to_offer']} as a hope to offer, not promised)" in found["sentence"]
    hoped = door.post("/v1/may-promise", {**asked, "confidence": hope_level(0.8)})
    assert hoped["stems"] == found["hope_to_offer"]


def test_a_wedding_may_take_as_much_as_leaves_everybody_their_level(door: Door) -> None:
    wedding = {"product": "lagurus", "due": "2027-06-18", "kind": "wedding"}
    found = door.post("/v1/may-promise", wedding)

    assert found["stems"] == 35
    assert found["at_more_would_fall"] == [
        {"line": "anna-1", "order": "anna-weekly", "customer": "anna", "due": "2027-06-15"}
        | {"from": 1.0, "to": 0.0, "floor": 0.65}
    ]
    said = "one more would take Studio Anna Verhoeven's 25 Bunny tail for Tue 15 Jun 2027 from 100 % to 0 %"
    assert said in found["sentence"]


def test_an_ask_that_cannot_be_is_refused(door: Door) -> None:
    good = {"product": "lagurus", "due": "2027-06-18"}
    for change, status in (
        ({"due": "2027-06-13"}, 422),
        ({"product": "nothing"}, 422),
        ({"choice": "role=accent"}, 422),
        ({"customer": "nobody"}, 404),
        ({"status": "quoted"}, 422),
    ):
        door.refused(status, "POST", "/v1/may-promise", json={**good, **change})


def test_a_contract_names_whom_it_displaces(open_door: Any) -> None:
    door = open_door(growing_farm())
    more = {"variety": "lagurus", "sow_date": "2027-06-14", "method": "direct", "sown": 60, "plants": 50}
    door.post("/v1/batches", more)
    door.patch("/v1/standing-lines/anna-1", {"promised_confidence": 0.01})
    ask = {"date": "2027-09-14", "due": "2027-09-14", "lines": [{"product": "lagurus", "stems": 25}]}
    quote = door.post("/v1/quotes", ask)["id"]

    found = door.post(f"/v1/quotes/{quote}/contract", {"confidence": 0.5})
    assert found["falls"] == []
    assert {(fall["line"], fall["customer"], fall["floor"]) for fall in found["displaced"]} == {
        ("anna-1", "anna", 0.01)
    }
    assert all(fall["from"] > fall["to"] >= 0.01 for fall in found["displaced"])


def test_a_what_if_shows_both_sides(party_door: Door) -> None:
    version = party_door.desk.store.version()
    found = party_door.post("/v1/what-if", {"changes": [{"move": "party", "to": "2027-07-09"}]})

    (order,) = found["orders"]
    assert order["before"] == {"due": "2027-06-18", "joint_confidence": 1.0, "expected_missing": 0.0}
    assert order["after"] == {"due": "2027-07-09", "joint_confidence": 0.0, "expected_missing": 20.0}
    assert {(line["line"], line["spare"]) for line in found["lines"]} == {("party-1", False), ("party-1", True)}
    assert [(gap["before"] is None, gap["after"] is None) for gap in found["gaps"]] == [(False, False)]
    assert party_door.desk.store.version() == version


def test_a_what_if_is_sent_with_the_names_that_are_declared(party_door: Door) -> None:
    """The answer is written by its shape alone; nobody compares it with the description again."""
    found = party_door.post("/v1/what-if", {"changes": [{"move": "party", "to": "2027-07-09"}]})
    declared = party_door.get("/openapi.json")["components"]["schemas"]

    assert list(found) == list(declared["WhatIfShape"]["properties"])
    for rows, pair in (("lines", "LinePairShape"), ("orders", "OrderPairShape"), ("gaps", "GapPairShape")):
        assert list(found[rows][0]) == list(declared[pair]["properties"])


@pytest.mark.parametrize(
    "change",
    [
        {},
        {"collection": "batches"},
        {"move": "party"},
        {"pause": "anna-weekly", "frost_weeks_earlier": 2},
        {"key": "b1", "values": {}},
    ],
)
def test_a_change_is_of_one_kind(change: dict[str, Any], party_door: Door) -> None:
    problem = party_door.refused(422, "POST", "/v1/what-if", json={"changes": [change]})

    assert problem["where"] == "changes[0]"
    assert "frost_weeks_earlier" in problem["accepted"]


def test_the_examples_are_answered(party_door: Door) -> None:
    schemas = party_door.get("/openapi.json")["components"]["schemas"]
    for path, schema in (("/v1/may-promise", "MayPromiseAsk"), ("/v1/what-if", "WhatIfAsk")):
        for example in schemas[schema]["examples"]:
            party_door.post(path, example)

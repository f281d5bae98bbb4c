"""Quotes and their steps on the farm of known stems: 35 lagurus are left for a due day from 15 to 21 June."""

import json
from datetime import date
from typing import Any

import pytest

from support.desks import on
from support.door import Door
from support.known_farm import PARTY, known_farm

FRIDAY = "2027-06-18"


def quoted(door: Door, stems: int, product: str = "lagurus", **more: Any) -> str:
    """The id of a quote for stems that leave on Friday."""
    body = {"date": "2027-06-20", "lines": [{"product": product, "stems": stems}], **more}
    quote: str = door.post("/v1/quotes", body)["id"]
    return quote


def held(door: Door, quote: str, until: str = FRIDAY, **more: Any) -> Any:
    """The answer to a hold."""
    return door.post(f"/v1/quotes/{quote}/hold", {"until": until, **more})


def free(door: Door) -> int:
    """Lagurus free to promise for Friday 18 June."""
    rows = door.get("/v1/availability", from_="2027-W24", weeks=1, weekday="fri", product="lagurus")["rows"]
    stems: int = rows[0]["free_to_promise"]
    return stems


def test_a_quote_by_lines_says_what_is_free_how_sure_and_at_what_price(door: Door) -> None:
    found = door.post("/v1/quotes", {"date": "2027-06-20", "lines": [{"product": "lagurus", "stems": 30, "spare": 4}]})

    (line,) = found["lines"]
    assert (found["due"], line["free_to_promise"], line["confidence"]) == (FRIDAY, 35, 1.0)
    # 34 stems at 450 for a bunch of ten.
    assert (line["price_minor"], found["price_minor"], found["currency"]) == (1530, 1530, "EUR")
    assert found["order_confidence"] == 1.0


def test_what_is_free_for_a_line_is_what_the_lines_before_it_leave_so_it_never_contradicts_how_sure_it_is(
    door: Door,
) -> None:
    lines = [{"product": "lagurus", "stems": stems} for stems in (20, 15, 3)]
    found = door.post("/v1/quotes", {"date": "2027-06-20", "lines": lines})

    # 35 are free for one new line: the first takes 20 of them, the second 15, and none is left for the third.
    assert [line["free_to_promise"] for line in found["lines"]] == [35, 15, 0]
    assert [line["confidence"] for line in found["lines"]] == [1.0, 1.0, 0.0]


def test_a_quote_by_pieces_turns_them_into_stems_by_role(open_door: Any) -> None:
    recipes = "piece,role,stems\nlittle jar,texture,3\nlittle jar,accent,2"
    door = open_door(known_farm(recipes=recipes))

    body = {"date": "2027-06-19", "pieces": [{"piece": "little jar", "count": 5, "colours": ["Cream"]}]}
    texture, accent = door.post("/v1/quotes", body)["lines"]

    # Two days ahead is Thursday 17; 15 % spare, rounded up.
    assert (texture["choice"], texture["stems"], texture["spare"]) == ("role=texture colour=cream", 15, 3)
    # One kind may be all of a role.
    assert (texture["pieces"], texture["confidence"]) == (["little jar"], 1.0)
    # Nothing here is an accent in cream, so that a neighbouring role stands in, with what the texture leaves.
    assert (accent["wanted"], accent["stems"], accent["confidence"]) == ("accent in cream", 10, 1.0)
    assert accent["choice"] == "role=accent colour=cream"
    assert accent["stand_in"] == "Standing in where that fails: Bunny tail (cream)."
    assert [(kind["product"], kind["stands_in"]) for kind in accent["hoped_for"]] == [("lagurus", True)]
    assert door.get(f"/v1/order-lines/{accent['line']}")["substitutes"] == "lagurus"
    # It costs what its stand-in costs, since nothing else could be it: 12 stems at 450 for a bunch of ten.
    assert accent["price_minor"] == 540


def test_all_lines_at_once_are_less_sure_than_each_alone(door: Door) -> None:
    lines = [{"product": "lagurus", "stems": 20}, {"product": "lagurus", "stems": 20}]
    found = door.post("/v1/quotes", {"date": "2027-06-20", "lines": lines})

    assert [line["confidence"] for line in found["lines"]] == [1.0, 0.0]
    assert found["order_confidence"] == 0.0


def test_a_quote_promises_nothing(door: Door) -> None:
    quoted(door, 30)

    assert free(door) == 35
    assert len(door.get("/v1/match")["lines"]) == 2


def test_a_quote_without_a_customer_is_an_enquiry(door: Door) -> None:
    first, second = quoted(door, 1), quoted(door, 2)

    assert door.get(f"/v1/orders/{first}")["customer"] == door.get(f"/v1/orders/{second}")["customer"] == "enquiry"
    assert [row["key"] for row in door.get("/v1/customers")["rows"]] == ["anna", "bram", "enquiry"]


def test_a_quote_names_the_cautions_of_what_it_may_hold(door: Door) -> None:
    found = door.post("/v1/quotes", {"date": "2027-06-18", "lines": [{"choice": "colour=blue", "stems": 3}]})

    (caution,) = found["cautions"]
    assert caution.startswith("CARE, Love-in-a-mist: ") and caution.endswith("Keep from pets.")
    (care,) = found["take_care"]
    assert care["kinds"] == ["Love-in-a-mist"] and " ".join(care["sentences"]) in caution


def test_a_hold_takes_stems_a_contract_keeps_them_and_a_release_gives_them_back(door: Door) -> None:
    quote = quoted(door, 30)

    hold = held(door, quote)
    assert (hold["status"], hold["accepted"], hold["order_confidence"], free(door)) == ("on_hold", True, 1.0, 5)

    contract = door.post(f"/v1/quotes/{quote}/contract")
    assert (contract["status"], contract["hold_until"], free(door)) == ("contracted", None, 5)

    assert door.post(f"/v1/quotes/{quote}/release") == {"id": quote, "status": "cancelled"}
    assert free(door) == 35


def test_the_level_asked_is_what_is_stored_as_promised(door: Door) -> None:
    quote = quoted(door, 30)
    held(door, quote, confidence=0.6)

    assert door.get(f"/v1/order-lines/{quote}-1")["promised_confidence"] == 0.6
    assert [promise.confidence for promise in door.desk.store.promises(order=quote)] == [0.8, 0.6]


def test_a_hold_lasts_through_its_last_day_and_lapses_by_the_date_alone(door: Door) -> None:
    held(door, quoted(door, 30), until="2027-06-16")
    version = door.desk.store.version()

    # Anna's Tuesday has passed, so that all 60 of k1 are there for Friday, cut on Thursday.
    on(door.desk, date(2027, 6, 16))
    assert free(door) == 30

    on(door.desk, date(2027, 6, 17))
    assert (free(door), door.desk.store.version()) == (60, version)


def test_more_stems_than_there_are_cannot_be_held(door: Door) -> None:
    quote = quoted(door, 36)

    problem = door.refused(409, "POST", f"/v1/quotes/{quote}/hold", json={"until": FRIDAY})

    assert problem["type"] == "/problems/promise-refused"
    asked = "36 Bunny tail for Fri 18 Jun 2027 would be 0 % sure, and 80 % is asked."
    way = "35 could be promised."
    part = "What stands today may be held by itself: 35 stems of Bunny tail."
    assert (problem["detail"], problem["parts"]) == (f"{asked} {way}", ["stands"])
    assert (problem["short"], problem["would_pass"]) == (asked, [way, part])
    assert (problem["to_sow"], problem["decide_by"]) == ([], None)
    assert (problem["most"], problem["also"], problem["sowing"]) == (35, None, None)
    assert (problem["falls"], problem["unsure"]) == ([], [{"line": f"{quote}-1", "confidence": 0.0}])
    assert door.get(f"/v1/orders/{quote}")["status"] == "quoted"


@pytest.fixture
def wedding(party_door: Door) -> str:
    """A quote for a wedding that only Bram's 20 stems could feed: 60, less Anna's 25, his 20 and his spare 5."""
    return quoted(party_door, 30)


def test_a_refusal_names_who_would_fall_to_what(party_door: Door, wedding: str) -> None:
    problem = party_door.refused(409, "POST", f"/v1/quotes/{wedding}/contract")

    assert problem["falls"] == [
        {
            "line": "party-1",
            "order": "party",
            "customer": "bram",
            "due": FRIDAY,
            "from": 1.0,
            "to": 0.0,
            "floor": 0.65,
        }
    ]
    said = "Bram's corner's 20 Bunny tail for Fri 18 Jun 2027 from 100 % to 0 %, below the 65 % it keeps"
    assert said in problem["detail"]
    assert problem["most"] == 15 and "15 could be promised" in problem["detail"]
    assert party_door.get("/v1/match", from_=FRIDAY, to=FRIDAY)["lines"][0]["confidence"] == 1.0


def test_what_a_refusal_says_comes_true_when_the_owner_overrides_it_and_that_is_an_entry(
    party_door: Door, wedding: str
) -> None:
    made = party_door.post(
        f"/v1/quotes/{wedding}/contract", {"override": True, "override_reason": "They come every year."}
    )

    assert made["overridden"] and [fall["line"] for fall in made["falls"]] == ["party-1"]
    lines = {line["line"]: line for line in party_door.get("/v1/match", from_=FRIDAY, to=FRIDAY)["lines"]}
    assert (lines["party-1"]["filled"], lines["party-1"]["confidence"], lines[f"{wedding}-1"]["filled"]) == (5, 0.0, 30)
    entry = party_door.desk.store.entries()[-1]
    assert (entry.kind, entry.subject, entry.facts["overridden"]) == ("contracted", f"orders/{wedding}", True)
    (fall,) = entry.facts["would_fall"]
    assert (fall["line"], fall["from"], fall["to"]) == ("party-1", 1.0, 0.0)
    assert entry.facts["override_reason"] == "They come every year."


def test_a_hold_ranks_below_what_is_contracted_and_takes_nothing_from_it(party_door: Door, wedding: str) -> None:
    problem = party_door.refused(409, "POST", f"/v1/quotes/{wedding}/hold", json={"until": FRIDAY})

    assert (problem["falls"], problem["order_confidence"]) == ([], 0.0)


def test_a_line_promised_at_less_is_kept_at_less(open_door: Any) -> None:
    lines = "key,order,stems,product,promised_confidence\nparty-1,party,20,lagurus,0.3"
    door = open_door(known_farm(orders=PARTY["orders"], order_lines=lines))
    quote = quoted(door, 30)

    assert door.refused(409, "POST", f"/v1/quotes/{quote}/contract")["falls"][0]["floor"] == 0.3


def test_what_was_already_lost_is_no_reason_to_refuse(party_door: Door) -> None:
    # Order `late` gets nothing as it is, so nothing falls by a wedding on its day that gets dried stems.
    quote = quoted(party_door, 10, "lagurus:dried", due="2027-07-02", date="2027-07-02")

    assert party_door.post(f"/v1/quotes/{quote}/contract")["accepted"]


@pytest.mark.parametrize(
    ("steps", "step", "status"),
    [
        (["contract"], "hold", 409),
        (["contract"], "contract", 409),
        (["release"], "release", 409),
        (["release"], "contract", 409),
    ],
)
def test_a_step_that_is_not_open_is_refused(door: Door, steps: list[str], step: str, status: int) -> None:
    quote = quoted(door, 3)
    for done in steps:
        door.post(f"/v1/quotes/{quote}/{done}", {})

    problem = door.refused(
        status, "POST", f"/v1/quotes/{quote}/{step}", json={"until": FRIDAY} if step == "hold" else {}
    )

    assert problem["type"] == "/problems/not-at-this-step"
    assert problem["status"] == 409


def test_a_hold_until_yesterday_is_refused(door: Door) -> None:
    problem = door.refused(422, "POST", f"/v1/quotes/{quoted(door, 3)}/hold", json={"until": "2027-06-13"})

    assert problem["type"] == "/problems/date-passed"


def test_an_unknown_quote_is_not_found(door: Door) -> None:
    assert door.refused(404, "POST", "/v1/quotes/q999/release")["kind"] == "order"


@pytest.mark.parametrize(
    ("body", "status", "says"),
    [
        ({"date": "2027-06-20"}, 422, "either pieces or lines"),
        ({"date": "2027-06-20", "lines": [{"stems": 3}]}, 422, "a product or a choice"),
        ({"date": "2027-06-20", "lines": [{"product": "tulip", "stems": 3}]}, 422, "'tulip'"),
        ({"date": "2027-06-20", "lines": [{"product": "lagurus", "stems": 0}]}, 422, "from 1 to"),
        ({"date": "2027-06-20", "lines": [{"product": "lagurus", "stem": 3}]}, 422, "unknown name 'stem'"),
        ({"date": "2027-06-15", "lines": [{"product": "lagurus", "stems": 3}]}, 422, "has passed"),
        ({"date": "2027-06-20", "customer": "nobody", "lines": [{"product": "lagurus", "stems": 3}]}, 404, "'nobody'"),
        ({"date": "2027-06-20", "pieces": [{"piece": "arch of roses", "count": 1}]}, 422, "one of"),
        ({"date": "2027-06-20", "due": "2027-06-21", "lines": [{"product": "lagurus", "stems": 3}]}, 422, "up to"),
        ({"date": "1900-01-01", "lines": [{"product": "lagurus", "stems": 3}]}, 422, "has passed"),
    ],
)
def test_a_quote_that_cannot_be_answered_says_why(door: Door, body: dict[str, Any], status: int, says: str) -> None:
    assert says in door.refused(status, "POST", "/v1/quotes", json=body)["detail"]


@pytest.mark.parametrize("colours", [["white", "white"], ["off white"], [""], ["\u0007"], ["\ud800"]])
def test_colours_that_no_folder_could_hold_are_refused(door: Door, colours: list[str]) -> None:
    body = f'{{"date":"2027-06-20","pieces":[{{"piece":"buttonhole","count":1,"colours":{json.dumps(colours)}}}]}}'

    assert door.refused(422, "POST", "/v1/quotes", content=body, headers={"Content-Type": "application/json"})[
        "type"
    ].startswith("/problems/")
    assert door.get("/v1/orders")["rows"] == []


def test_a_day_that_no_cut_day_serves_names_the_cut_days_that_would(open_door: Any) -> None:
    varieties = "key,name,hold_days,stand_days\nlagurus,Bunny tail,2,3"
    farm = known_farm(varieties=varieties, known_stems="key,product,ready_date,stems\nk1,lagurus,2027-06-14,9")
    door = open_door(farm)

    body = {"date": "2027-06-20", "kind": "one_off", "lines": [{"product": "lagurus", "stems": 3}]}
    problem = door.refused(422, "POST", "/v1/quotes", json=body)

    assert (problem["type"], problem["would_serve"]) == ("/problems/day-not-served", ["fri", "sat"])


def test_a_part_of_a_quote_is_held_and_contracted_by_itself(door: Door) -> None:
    found = door.post("/v1/quotes", {"date": "2027-06-20", "lines": [{"product": "lagurus", "stems": 50}]})
    places, path = found["places"], f"/v1/quotes/{found['id']}"
    assert [part["count"] for part in places["promised"]["parts"]] == [35]
    assert [part["count"] for part in places["beyond"]] == [15]
    assert (places["promised"]["price"]["total_minor"], places["sown"], places["wish"]) == (1575, None, None)

    refused = door.refused(409, "POST", f"{path}/hold", json={"until": FRIDAY, "part": "sown"})
    assert refused["type"] == "/problems/part-not-offered"
    asked = {"until": FRIDAY, "part": "stands", "confidence": 0.5}
    assert door.refused(422, "POST", f"{path}/hold", json=asked)["type"] == "/problems/not-accepted"

    assert held(door, found["id"], part="stands")["status"] == "on_hold"
    assert door.post(f"{path}/contract", {})["status"] == "contracted"
    (line,) = [one for one in door.get("/v1/order-lines")["rows"] if one["order"] == found["id"]]
    assert (line["stems"], line["part"]) == (35, "stands")
    assert door.get(path)["version"]["price"]["total_minor"] == 1575

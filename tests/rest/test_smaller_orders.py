"""An order of several parts that is refused only by what it would take: the largest size that passes is said."""

from typing import Any

from support.door import Door
from support.farms import grower_folder
from support.florist_farm import FALL, FRIDAY, SUNDAY, florist_farm
from support.known_farm import VARIETIES

LINES = [{"product": "lagurus", "stems": 12}, {"product": "lagurus", "stems": 8}]


def refused(door: Door, path: str, body: Any = None) -> dict[str, Any]:
    return door.refused(409, "POST", path, json=body or {})


def test_of_lines_one_after_the_other_gets_as_many_as_pass_and_one_more_does_not(open_door: Any) -> None:
    door = open_door(florist_farm(25, 0))
    asked = {"date": SUNDAY, "customer": "bram"}
    quote = door.post("/v1/quotes", {**asked, "lines": LINES})

    problem = refused(door, f"/v1/quotes/{quote['id']}/contract")
    assert problem["falls"] == [FALL] and "most" not in problem
    parts = [(part["asked"], part["passes"]) for part in problem["largest"]["parts"]]
    assert parts == [(12, 5), (8, 0)]
    assert problem["largest"]["sentence"] in problem["detail"]

    for sizes, status in (((5, 1), 409), ((6,), 409), ((5,), 200)):
        lines = [{"product": "lagurus", "stems": stems} for stems in sizes]
        other = door.post("/v1/quotes", {**asked, "lines": lines})["id"]
        assert door.ask("POST", f"/v1/quotes/{other}/contract", json={}).status_code == status


def pieces(jars: int, posies: int) -> dict[str, Any]:
    """A wedding of jars, five bunny tails each, and posies, three love-in-a-mist each; no spare."""
    counts = (("little jar", jars), ("posy", posies))
    asked = [{"piece": piece, "count": count} for piece, count in counts if count]
    return {"date": SUNDAY, "customer": "bram", "spare_percent": 0, "pieces": asked}


def piece_farm() -> dict[str, bytes]:
    """The florist's farm with 45 bunny tails, 25 of them free, love-in-a-mist and two recipes."""
    return {
        **florist_farm(25, 0),
        **grower_folder(
            varieties=VARIETIES.replace(",keep from pets", ","),
            known_stems="""
                key,product,ready_date,stems
                k1,lagurus,2027-06-14,45
                k2,nigella,2027-06-15,30
                """,
            recipes="piece,role,stems\nlittle jar,texture,5\nposy,accent,3",
        ),
        "farm.toml": florist_farm(25, 0)["farm.toml"],
    }


def test_of_pieces_one_of_them_smaller_passes(open_door: Any) -> None:
    door = open_door(piece_farm())
    quote = door.post("/v1/quotes", pieces(8, 5))

    problem = refused(door, f"/v1/quotes/{quote['id']}/contract")

    assert problem["falls"] == [FALL]
    assert problem["largest"]["parts"] == [{"what": "little jar", "asked": 8, "passes": 5}]
    said = "The largest that could be promised: 5 instead of 8 of little jar, all else as asked (100 % for all of it"
    assert said in problem["detail"]
    door.post(f"/v1/quotes/{quote['id']}/change", pieces(5, 5))
    assert door.post(f"/v1/quotes/{quote['id']}/contract")["status"] == "contracted"


def test_a_change_of_what_is_held_says_its_largest_size_too(open_door: Any) -> None:
    door = open_door(piece_farm())
    quote = door.post("/v1/quotes", pieces(2, 2))["id"]
    door.post(f"/v1/quotes/{quote}/hold", {"until": FRIDAY})

    problem = refused(door, f"/v1/quotes/{quote}/change", pieces(9, 4))

    assert problem["largest"]["parts"] == [{"what": "little jar", "asked": 9, "passes": 5}]


def test_lines_that_are_no_longer_those_of_the_pieces_are_made_smaller_themselves(open_door: Any) -> None:
    door = open_door(piece_farm())
    quote = door.post("/v1/quotes", pieces(8, 5))["id"]
    jar = next(row for row in door.get("/v1/order-lines")["rows"] if row["order"] == quote and row["stems"] == 40)
    door.patch(f"/v1/order-lines/{jar['key']}", {"stems": 41})

    problem = refused(door, f"/v1/quotes/{quote}/contract")

    assert problem["largest"]["parts"] == [{"what": "texture", "asked": 41, "passes": 25}]


def test_an_order_that_is_moved_says_what_could_move(open_door: Any) -> None:
    door = open_door(florist_farm(25, 0))
    later = {"date": "2027-06-27", "customer": "bram", "lines": LINES, "confidence": 0.5}
    quote = door.post("/v1/quotes", later)["id"]
    door.post(f"/v1/quotes/{quote}/contract", {"override": True, "override_reason": "they bring their own"})

    problem = door.refused(409, "PATCH", f"/v1/orders/{quote}", json={"due_date": FRIDAY, "event_date": SUNDAY})

    assert problem["falls"] == [FALL]
    assert [part["passes"] for part in problem["largest"]["parts"]] == [5, 0]

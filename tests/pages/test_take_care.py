"""What to take care of stands once on a page, in the words of the place, with hints and weed notes apart."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from support.desks import NOW
from support.door import Door
from support.known_farm import known_farm

OpenDoor = Callable[[dict[str, bytes]], Door]
KINDS = """
    key,name,hold_days,stand_days,bunch_stems,price_minor
    lagurus,Bunny tail,4,3,10,450
    blue,Monkshood,4,3,10,500
    nigella,Monk's hood,4,3,10,500
    snapdragon,Snapdragon,4,3,10,500
    """
STEMS = """
    key,product,ready_date,stems,cut_date
    k1,lagurus,2027-06-14,60,
    k2,blue,2027-06-14,40,
    k3,snapdragon,2027-06-13,40,2027-06-13
    k4,lagurus:dried,2026-09-01,120,
    """
ORDERS = {
    "orders": """
        key,customer,kind,due_date,committed_on,status
        party,bram,one_off,2027-06-15,2027-06-01,contracted
        """,
    "order_lines": """
        key,order,stems,product
        party-1,party,20,blue
        party-2,party,10,blue
        party-3,party,10,snapdragon
        """,
}
BEDS = {
    "beds": "key,name,kind\nsouth,South bed,outdoor\nhot,Bench,bench",
    "batches": """
        key,variety,sow_date,method,bed,status,sown
        b1,blue,2026-09-01,cover,south,planted,20
        b2,blue,2027-06-10,heated,south,sown,20
        b3,lagurus,2027-04-01,cover,south,planted,40
        """,
    "sprays": "key,bed,date,wait_until,note\ns1,south,2027-06-10,2027-06-16,soap against aphids",
}


@pytest.fixture
def door(open_door: OpenDoor) -> Door:
    """A farm with monkshood in two lines, hare's-tail, snapdragon and a sprayed bed."""
    return open_door(known_farm(varieties=KINDS, known_stems=STEMS, **ORDERS, **BEDS))


def read(door: Door, path: str) -> str:
    """The page's words."""
    answer = door.ask("GET", path)
    assert answer.status_code == 200, answer.text
    return " ".join(re.sub(r"<[^>]*>", " ", answer.text).replace("&#39;", "'").split())


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("/walk", "wash your hands if you touched it"),
        ("/cut?day=2027-06-14", "gloves; hands off your mouth"),
        ("/bucket/2027-06-14", "gloves; the vase water is poisonous: keep it from children and pets"),
        ("/plan/b2", "nothing to eat on the bench"),
        ("/plan/b1", "gloves; hands off your mouth"),
        ("/care/food_table", "never on or beside food, plates or a cake"),
        ("/care/bouquet", "not to a home with cats or dogs"),
    ],
)
def test_a_page_says_what_matters_there_once_with_a_word_beside_it(door: Door, path: str, words: str) -> None:
    page = read(door, path)

    assert page.count("Dangerously poisonous (all parts)") == 1 == page.count(words)
    assert re.search(r"DANGER (Monk's hood and )?Monkshood : Dangerously", page)


def test_a_closed_bed_is_named_on_the_walk_the_cut_list_and_the_page_of_its_batch(door: Door) -> None:
    for path in ("/walk", "/cut?day=2027-06-14", "/plan/b1"):
        assert read(door, path).count("Do not go into South bed: inside a spray's waiting time through Wed 16 Jun") == 1
    assert "Do not go into" not in read(door, "/cut?day=2027-06-17")


def test_the_heated_bench_is_told_where_a_tray_stands_on_it_and_nowhere_else(door: Door) -> None:
    assert "licensed electrician" in read(door, "/plan/b2") and "licensed electrician" in read(
        door, "/care/heated_bench"
    )
    assert all("licensed electrician" not in read(door, path) for path in ("/plan/b1", "/walk", "/care/bench"))


def test_hints_and_weed_notes_have_no_word_of_danger_and_stand_once(door: Door) -> None:
    bucket = read(door, "/bucket/2027-06-14")
    assert bucket.count("Handling: Snapdragon: carry upright: tips bend") == 1
    assert re.search(r"(DANGER|CARE|MIND) [^:]*Snapdragon", bucket) is None
    assert "Where it spreads: Bunny tail: self-seeds" in read(door, "/plan/b3")


def test_a_confirmed_list_and_its_letter_tell_the_care_once_and_the_sprays(door: Door) -> None:
    door.settle("/v1/bucket-lists/2027-06-14", cut=["k1", "k2"])
    page = read(door, "/bucket/2027-06-14")
    sprayed = "Sprayed: Monkshood in South bed on Thu 10 Jun 2027, soap against aphids"
    assert (
        page.count("the vase water is poisonous") == 1 and sprayed.replace("Monkshood", "Bunny tail, Monkshood") in page
    )

    (claimed,) = door.desk.store.outbox.claim("test", NOW, 9)
    facts = claimed.letter.facts
    assert any("Bunny tail" in words and "Awns" in words for words in facts["care"])
    assert any(words.startswith("Sprayed: Bunny tail in South bed") for words in facts["sprays"])
    assert [line["caution"] for line in facts["lines"]] == [""]


def test_the_hand_of_the_farm_reads_what_to_take_care_of_and_a_strange_place_is_refused(door: Door) -> None:
    assert read(door, "/care") == read(door, "/care/cut")
    assert door.ask("GET", "/care/moon").status_code == 422
    assert all('href="/care"' in door.ask("GET", path).text for path in ("/more", "/cut"))

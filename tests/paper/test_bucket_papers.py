"""Papers of a confirmed bucket list: every field read back, cautions with every kind, names in no file name."""

from collections.abc import Callable

import pytest

from support.door import Door
from support.known_farm import PARTY, known_farm
from support.paper_reading import pages_of

LIST = "/paper/bucket-lists/2027-06-14"
KINDS = ["list.pdf", "labels.pdf", "packing.pdf", "delivery.pdf", "delivery.pdf?prices=yes"]
BOTH = {
    **PARTY,
    "order_lines": """
        key,order,stems,product,spare
        party-1,party,20,lagurus,5
        party-2,wed,12,nigella,
        """,
    "orders": """
        key,customer,kind,due_date,committed_on,status
        party,bram,one_off,2027-06-18,2027-06-01,contracted
        wed,bram,one_off,2027-06-16,2027-06-02,contracted
        """,
}
OpenDoor = Callable[[dict[str, bytes]], Door]
Paper = Callable[[Door, str], str]


@pytest.fixture
def confirmed(open_door: OpenDoor) -> Door:
    """A door behind which the list of 14 June is confirmed: anna 25 lagurus, bram 20 and 5 spare, and 12 nigella."""
    door = open_door(known_farm(**BOTH))
    door.settle("/v1/bucket-lists/2027-06-14", cut=["k1"])
    return door


@pytest.mark.parametrize("kind", KINDS)
def test_every_paper_names_customers_kinds_counts_and_cautions(confirmed: Door, paper: Paper, kind: str) -> None:
    text = paper(confirmed, f"{LIST}/{kind}")

    for words in ("Studio Anna Verhoeven", "Bram's corner", "Bunny tail", "Love-in-a-mist", "25", "20", "12"):
        assert words in text
    assert "Keep from pets" in text and "Not for food" in text


def test_a_label_has_what_a_bucket_needs(confirmed: Door, paper: Paper) -> None:
    text = paper(confirmed, f"{LIST}/labels.pdf?customer=bram")

    assert "Anna" not in text
    for words in ("blue", "12 stems", "1 bunch of 10, 2 over", "Cut on: Sun 13 Jun 2027", "Wed 16 Jun", "CARE", "cool"):
        assert words in text
    assert "5 stems" in text and "spare for breakage" in text
    assert "Cut on: Mon 14 Jun 2027" in text


@pytest.mark.parametrize("kind", ["labels.pdf", "delivery.pdf"])
def test_nobody_is_told_to_water_dried_stems(open_door: OpenDoor, paper: Paper, kind: str) -> None:
    dried = PARTY["order_lines"].replace("party-1,party,20,lagurus,5", "party-1,party,20,lagurus:dried,")
    door = open_door(known_farm(**{**PARTY, "order_lines": dried}))
    door.settle("/v1/bucket-lists/2027-06-14", cut=["k1"])

    of_dried, of_fresh = (paper(door, f"{LIST}/{kind}?customer={name}") for name in ("bram", "anna"))
    assert "no water" in of_dried and "water" not in of_dried.replace("no water", "")
    assert "fresh water" in of_fresh and "Dried" not in of_fresh
    assert ("Cut on" in of_dried, "Cut on" in of_fresh) == (False, kind == "labels.pdf")


def test_prices_stand_on_a_delivery_note_only_where_they_are_asked(confirmed: Door, paper: Paper) -> None:
    # 25 stems at 4.50 for a bunch of 10.
    assert "€11.25" in paper(confirmed, f"{LIST}/delivery.pdf?prices=yes&customer=anna")
    assert "€" not in paper(confirmed, f"{LIST}/delivery.pdf?customer=anna")
    assert "€" not in paper(confirmed, f"{LIST}/packing.pdf")


def test_what_is_missing_is_said(open_door: OpenDoor, paper: Paper) -> None:
    door = open_door(known_farm(**BOTH))
    few = {"lines": [{"line": "anna-1", "due": "2027-06-15", "stems": 10}]}
    door.settle("/v1/bucket-lists/2027-06-14", few, cut=["k1"])

    assert "Bunny tail: asked 25 stems, 10 here." in paper(door, f"{LIST}/delivery.pdf?customer=anna")


@pytest.mark.parametrize("kind", KINDS)
def test_the_file_name_holds_nobodys_name_and_the_bytes_are_the_same_again(confirmed: Door, kind: str) -> None:
    first, second = (confirmed.ask("GET", f"{LIST}/{kind}") for _ in range(2))

    assert first.content == second.content
    name = first.headers["content-disposition"].lower()
    assert "2027-06-14.pdf" in name and not any(who in name for who in ("anna", "bram", "verhoeven"))
    assert first.headers["cache-control"] == "no-store"


def test_a_list_that_is_not_confirmed_is_not_printed(party_door: Door) -> None:
    problem = party_door.refused(404, "GET", f"{LIST}/labels.pdf")
    assert "confirmed bucket list" in problem["detail"]


def test_a_customer_who_is_not_on_the_list_is_told(confirmed: Door) -> None:
    assert confirmed.refused(404, "GET", f"{LIST}/labels.pdf?customer=nobody")["key"] == "nobody"
    assert confirmed.refused(422, "GET", "/paper/bucket-lists/20270614/labels.pdf")


def test_a_list_on_which_nothing_goes_out_prints(open_door: OpenDoor, paper: Paper) -> None:
    door = open_door(known_farm(known_stems="key,product,ready_date,stems,cut_date\n"))
    uncut = {"deliveries": [{"order": "anna-weekly", "due": "2027-06-15", "no_cut": True}]}
    door.post("/v1/bucket-lists/2027-06-14/confirm", uncut, If_Match="*")

    for kind in KINDS:
        assert "Bunny tail" in paper(door, f"/paper/bucket-lists/2027-06-14/{kind}") or kind == "labels.pdf"


def test_three_hundred_lines_print(open_door: OpenDoor) -> None:
    lines = "\n".join(f"l{n},many,1,nigella," for n in range(300))
    door = open_door(
        known_farm(
            orders="key,customer,kind,due_date,committed_on,status\nmany,bram,one_off,2027-06-16,2027-06-02,contracted",
            order_lines=f"key,order,stems,product,spare\n{lines}",
            known_stems="key,product,ready_date,stems,cut_date\nk3,nigella,2027-06-12,900,2027-06-13",
        )
    )
    door.settle("/v1/bucket-lists/2027-06-14", {"deliveries": [{"order": "many", "due": "2027-06-16"}]})

    assert pages_of(door.ask("GET", f"{LIST}/labels.pdf").content) > 20
    assert pages_of(door.ask("GET", f"{LIST}/delivery.pdf").content) > 4


def test_names_that_look_like_markup_print_as_they_are(open_door: OpenDoor, paper: Paper) -> None:
    typed = "#set [*Bram*] $x$ @y \\ _z_"
    door = open_door(known_farm(**{**BOTH, "customers": f"key,name\nanna,Цветы Анна\nbram,{typed}"}))
    door.settle("/v1/bucket-lists/2027-06-14", cut=["k1"])

    for kind in KINDS:
        text = paper(door, f"{LIST}/{kind}")
        assert typed in text and "Цветы Анна" in text


def test_somebody_elsewhere_gets_no_paper(confirmed: Door) -> None:
    with Door(confirmed.desk, caller="192.0.2.7") as elsewhere:
        for kind in KINDS:
            assert elsewhere.ask("GET", f"{LIST}/{kind}").status_code == 403


SPRAYED = {
    "beds": "key,name,kind\nsouth,South bed,outdoor",
    "batches": "key,variety,sow_date,method,bed,status,sown\nb1,lagurus,2027-03-01,cover,south,planted,40",
    "sprays": "key,bed,date,wait_until,note\ns1,south,2027-06-01,2027-06-08,soap against aphids",
}


@pytest.mark.parametrize("kind", ["list.pdf", "delivery.pdf", "packing.pdf"])
def test_what_was_sprayed_on_the_stems_is_told_with_its_day_and_the_end_of_its_wait(
    open_door: OpenDoor, paper: Paper, kind: str
) -> None:
    door = open_door(known_farm(**SPRAYED))
    door.settle("/v1/bucket-lists/2027-06-14", cut=["k1"])
    text = paper(door, f"{LIST}/{kind}")

    assert text.count("Sprayed: Bunny tail in South bed on Tue 1 Jun 2027, soap against aphids") == 1
    assert "waiting time ended on Tue 8 Jun 2027" in text and text.count("follow the label") == 1
    assert text.count("Gloves for stripping") == 1


def test_no_spray_is_told_where_none_was_written_down(confirmed: Door, paper: Paper) -> None:
    assert "Sprayed" not in paper(confirmed, f"{LIST}/delivery.pdf")

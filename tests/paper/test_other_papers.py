"""Labels of trays, beds and the stall, the availability list, and the quote."""

import re
from collections.abc import Callable

import pytest

from support.door import Door
from support.known_farm import STANDING_ORDERS, growing_farm, known_farm
from support.season_farm import season_farm

OpenDoor = Callable[[dict[str, bytes]], Door]
Paper = Callable[[Door, str], str]
SOWN = {
    "batches": """
        key,variety,sow_date,method,sown,plants,bed,status
        b1,lagurus,2027-06-10,cover,100,80,south,sown
        b2,nigella,2027-06-01,direct,200,150,south,planted
        """,
    "beds": "key,name,metres,walk\nsouth,South bed,40,1",
}
TYPED = '#x [*Rosé*] $y$ @z "q"'
CSV_TYPED = '"#x [*Rosé*] $y$ @z ""q"""'


def test_a_tray_label_says_when_it_should_be_up_and_until_when_it_is_kept(open_door: OpenDoor, paper: Paper) -> None:
    text = paper(open_door(known_farm(**SOWN)), "/paper/tray-labels.pdf")

    for words in ("Bunny tail", "Batch b1", "100 places", "Sown Thu 10 Jun 2027", "Up: ", "Keep until", "normal"):
        assert words in text
    assert "b2" not in text  # sown in the ground
    assert "Not for food" in text


def test_no_sowings_are_no_labels(open_door: OpenDoor, paper: Paper) -> None:
    door = open_door(known_farm())

    assert "Nothing is sown" in paper(door, "/paper/tray-labels.pdf")
    assert "Nothing stands" in paper(door, "/paper/bed-labels.pdf")


def test_days_of_sowing_in_the_wrong_order_are_refused(open_door: OpenDoor) -> None:
    door = open_door(known_farm(**SOWN))
    assert door.refused(422, "GET", "/paper/tray-labels.pdf?from=2027-06-10&to=2027-06-09")


def test_a_bed_label_names_what_stands_there_with_its_caution(open_door: OpenDoor, paper: Paper) -> None:
    text = paper(open_door(known_farm(**SOWN)), "/paper/bed-labels.pdf?bed=south")

    for words in ("South bed", "Love-in-a-mist", "batch b2", "Tue 1 Jun 2027", "Keep from pets", "cm apart"):
        assert words in text


def test_a_bed_label_has_the_first_stem_where_there_is_a_forecast(open_door: OpenDoor, paper: Paper) -> None:
    files = growing_farm()
    files["batches.csv"] = files["batches.csv"].replace(b",planned", b",sown")

    assert "First stem about" in paper(open_door(files), "/paper/bed-labels.pdf")


def test_a_stall_label_carries_the_caution_and_is_not_for_food(open_door: OpenDoor, paper: Paper) -> None:
    text = paper(open_door(known_farm()), "/paper/stall-labels.pdf?product=nigella&product=lagurus:dried")

    for words in (
        "Love-in-a-mist",
        "Nigella damascena",
        "€5.00",
        "Keep from pets",
        "Not for food.",
        "dried Bunny tail",
    ):
        assert words in text


def test_a_stall_label_of_a_kind_that_is_not_grown_is_refused(open_door: OpenDoor) -> None:
    door = open_door(known_farm())
    assert door.refused(404, "GET", "/paper/stall-labels.pdf?product=moon")
    assert door.refused(422, "GET", "/paper/stall-labels.pdf?product=%23")


def test_availability_is_whole_bunches_with_price_and_caution(open_door: OpenDoor, paper: Paper) -> None:
    mondays = known_farm(standing_orders=STANDING_ORDERS.replace("tue", "mon"))
    text = paper(open_door(mondays), "/paper/availability.pdf?week=2027-W24")

    for words in (
        "week 24",
        "Love-in-a-mist",
        "Keep from pets",
        "€5.00",
        "not promised",
        "Friday 18:00",
        "Not for food",
    ):
        assert words in text
    assert "Coming up" in text and "from week 25" in text


def test_a_farm_with_nothing_free_prints_that(open_door: OpenDoor, paper: Paper) -> None:
    assert "Nothing is free" in paper(
        open_door(known_farm(known_stems="key,product,ready_date,stems")), "/paper/availability.pdf?week=2027-W24"
    )


@pytest.mark.parametrize(
    "path", ["tray-labels.pdf", "bed-labels.pdf", "stall-labels.pdf?product=lagurus", "availability.pdf?week=2027-W24"]
)
def test_a_kind_whose_name_looks_like_markup_prints_as_it_is(open_door: OpenDoor, paper: Paper, path: str) -> None:
    kinds = f"key,name,hold_days,stand_days\nlagurus,{CSV_TYPED},4,3\nnigella,Nigella,4,3"
    door = open_door(known_farm(**SOWN, varieties=kinds))

    assert TYPED in paper(door, f"/paper/{path}")


def test_a_quote_reads_in_words_with_its_parts_and_its_cautions(open_door: OpenDoor, paper: Paper) -> None:
    door = open_door(known_farm())
    quote = door.post(
        "/v1/quotes", {"date": "2027-06-19", "customer": "bram", "lines": [{"product": "nigella", "stems": 10}]}
    )["id"]
    text = paper(door, f"/paper/quotes/{quote}.pdf")

    for words in (
        "Bram's corner",
        quote,
        "Sat 19 Jun 2027",
        "Love-in-a-mist",
        "CARE",
        "Keep from pets.",
        "Total",
        "€5.00",
    ):
        assert words in text
    assert "version 1" in text and "through" in text
    assert "Not for food" in text and "legal" not in text and "law" not in text
    assert "We promise the colours" in text
    assert re.search(r"in (nearly every|hardly any|[1-9]) summer", text) and "sure (" not in text


def test_a_quote_for_a_home_with_cats_says_what_can_hurt_them_and_another_does_not(
    open_door: OpenDoor, paper: Paper
) -> None:
    door = open_door(known_farm())
    body = {"date": "2027-06-19", "lines": [{"product": "nigella", "stems": 10}]}
    with_cats, without = (door.post("/v1/quotes", {**body, **more})["id"] for more in ({"homes": ["cats"]}, {}))

    text = paper(door, f"/paper/quotes/{with_cats}.pdf")
    assert "In your home: cats" in text and "Keep it from cats" in text
    assert "In your home" not in paper(door, f"/paper/quotes/{without}.pdf")


def test_a_quote_names_nobody_in_its_file_name_and_must_exist(open_door: OpenDoor) -> None:
    door = open_door(known_farm())
    quote = door.post(
        "/v1/quotes", {"date": "2027-06-19", "customer": "bram", "lines": [{"product": "nigella", "stems": 10}]}
    )["id"]
    first, second = (door.ask("GET", f"/paper/quotes/{quote}.pdf") for _ in range(2))

    assert first.headers["content-disposition"] == 'inline; filename="quote-version-1.pdf"'
    assert first.content == second.content
    assert door.refused(404, "GET", "/paper/quotes/none.pdf")


def test_a_tray_is_kept_four_weeks_at_least(open_door: OpenDoor, paper: Paper) -> None:
    quick = "key,name,germination_days\nlagurus,Bunny tail,3\nnigella,Nigella,3"
    text = paper(open_door(known_farm(**SOWN, varieties=quick)), "/paper/tray-labels.pdf")

    assert "Keep until Thu 8 Jul 2027" in text  # sown on 10 June


def test_the_price_list_of_everybody_outranks_the_kinds_own_price(open_door: OpenDoor, paper: Paper) -> None:
    prices = "product,customer,price_minor,bunch_stems\nnigella,,800,10\nnigella,bram,100,10"
    text = paper(open_door(known_farm(prices=prices)), "/paper/stall-labels.pdf?product=nigella")

    assert "€8.00" in text


def test_a_cut_list_says_what_how_many_for_whom_and_which_bed_is_closed(open_door: OpenDoor, paper: Paper) -> None:
    sprayed = "key,bed,date,wait_until\ns1,south,2027-06-13,2027-06-20"
    kinds = "key,name,hold_days,stand_days,caution\nlagurus,Bunny tail,4,3,sharp awns\nnigella,Nigella,4,3,"
    text = paper(open_door(known_farm(**SOWN, sprays=sprayed, varieties=kinds)), "/paper/cut-lists/2027-06-14.pdf")

    for words in (
        "Bunny tail",
        "25",
        "Studio Anna Verhoeven 25 (Tue 15 Jun)",
        "Sharp awns",
        "Do not go into",
        "South bed",
    ):
        assert words in text


def test_a_day_that_is_no_cut_day_has_no_cut_list_and_an_idle_one_says_so(open_door: OpenDoor, paper: Paper) -> None:
    door = open_door(known_farm())

    assert door.refused(422, "GET", "/paper/cut-lists/2027-06-15.pdf")
    assert "Nothing is to be cut" in paper(door, "/paper/cut-lists/2027-07-05.pdf")


def test_the_order_list_says_what_to_order_by_when_for_which_sowings_and_what_is_at_home(
    open_door: OpenDoor, paper: Paper
) -> None:
    door = open_door(season_farm())
    door.post("/v1/next-year", {"batches": ["zinnia-1", "zinnia-2", "cosmos-1", "dahlia-1"]})
    text = paper(door, "/paper/order-list.pdf?season=2028")

    for words in (
        "Order list for 2028",
        "As of Mon 14 Jun 2027",
        "White zinnia, seed",
        "seed for 200 places",
        "Mon 10 Apr 2028",
        "200 places in 2 sowings, Mon 17 Apr 2028 to Mon 19 Jun 2028",
        "White dahlia, tubers",
        "4 bags of 5",
    ):
        assert words in text, text
    assert "-in-2028" not in text

    door.post("/v1/at-home", {"variety": "zinnia", "what": "seed", "state": "at_home"})
    assert "Seed of White zinnia: at home" in paper(door, "/paper/order-list.pdf?season=2027")


def test_an_order_list_without_sowings_says_so(open_door: OpenDoor, paper: Paper) -> None:
    assert "Nothing has to be ordered." in paper(open_door(known_farm()), "/paper/order-list.pdf")

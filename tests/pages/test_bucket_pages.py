"""The bucket list on a page: every number with its label, and what the grower decides of it."""

import html
import re
from collections.abc import Callable

import pytest

from support.bucket_days import bucket_farm
from support.door import Door
from support.known_farm import KNOWN_STEMS, known_farm

LIST = "/bucket/2027-06-14"
STAND_IN = "key,order,stems,product,substitutes\nanna-1,anna-weekly,25,lagurus,nigella"


@pytest.fixture
def short(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    """Anna wants 25 lagurus on Tuesday and accepts nigella; 10 lagurus stand and 30 nigella are cut."""
    few = KNOWN_STEMS.replace("k1,lagurus,2027-06-14,60", "k1,lagurus,2027-06-14,10")
    return open_door(known_farm(standing_lines=STAND_IN, known_stems=few))


def words(page: str) -> str:
    """The words of a page, without its marks."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


def form(page: str) -> dict[str, str]:
    """The hidden fields of the list's form."""
    return dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page))


def test_a_line_offers_what_its_florist_accepts_and_nothing_else(short: Door) -> None:
    page = short.ask("GET", LIST).text

    offered = re.findall(r'<option value="([^"]*)"', page)
    assert offered == ["", "lagurus", "nigella"]
    assert "15 Love-in-a-mist instead, which they accept" in words(page)
    assert re.search(r'<label[^>]* for="k-anna-1@2027-06-15"', page)


def test_what_is_decided_is_shown_before_it_is_confirmed(short: Door) -> None:
    page = short.ask("GET", LIST, params={"kind-anna-1@2027-06-15": "nigella", "stems-anna-1@2027-06-15": "20"}).text

    assert '<option value="nigella" selected>' in page
    assert "20 Love-in-a-mist instead" in words(page)
    assert 'value="20"' in page
    assert short.get("/v1/bucket-lists/2027-06-14")["confirmed"] is False


def test_what_is_decided_is_confirmed_with_the_list(short: Door) -> None:
    fields = {**form(short.ask("GET", LIST).text), "kind-anna-1@2027-06-15": "nigella"}

    assert short.ask("POST", LIST, data=fields).status_code == 303
    (line,) = short.get("/v1/bucket-lists/2027-06-14")["customers"][0]["lines"]
    assert [(one["product"], one["stems"]) for one in line["from"]] == [("nigella", 25)]
    assert (line["product"], line["filled"]) == ("lagurus", 25)


def test_what_a_florist_does_not_accept_is_refused_in_a_page(short: Door) -> None:
    answer = short.ask("GET", LIST, params={"kind-anna-1@2027-06-15": "tulip"})

    assert answer.status_code == 422
    assert "accepted is lagurus or nigella" in words(answer.text)


def test_a_confirmed_list_names_what_goes_out_and_what_was_corrected(short: Door) -> None:
    short.post("/v1/bucket-lists/2027-06-14/confirm")
    correction = {"line": "anna-1", "due": "2027-06-15", "stems": 20, "reason": "five heads bruised"}
    short.post("/v1/bucket-lists/2027-06-14/correct", correction)
    page = words(short.ask("GET", LIST).text)

    assert "Bunny tail leaves Tue 15 Jun 2027" in page
    assert "15 Love-in-a-mist instead" in page and "Corrected: 20 sent, not 25. five heads bruised" in page
    assert "lagurus" not in page and "2027-06-15" not in page


@pytest.mark.parametrize("path", ["/claims", "/season?year=2027"])
def test_customers_are_named(short: Door, path: str) -> None:
    short.post("/v1/bucket-lists/2027-06-14/confirm")

    assert "Studio Anna Verhoeven" in words(short.ask("GET", path).text)


def test_a_number_that_was_typed_wrong_is_put_right_on_the_cut_page(
    open_door: Callable[[dict[str, bytes]], Door],
) -> None:
    door = open_door(bucket_farm())
    (record,) = door.post("/v1/cuts", {"variety": "lagurus", "stems": 400, "left": 0, "beyond_count": True})["records"]
    page = door.ask("GET", "/cut?day=2027-06-14").text
    assert "Cut today" in words(page) and f'action="/cut/{record}"' in page

    fields = {**form(page[page.index(f'action="/cut/{record}"') :]), "stems": "40"}
    assert door.ask("POST", f"/cut/{record}", data=fields).headers["location"] == "/cut?day=2027-06-14&said=recorded"
    assert [(one["pile"], one["stems"]) for one in door.get("/v1/store")["stems"]] == [(record, 40)]
    assert door.ask("POST", f"/cut/{record}", data={"stems": "30"}).status_code == 404


def test_stock_that_was_there_and_bought_in_is_on_the_page_of_the_store_and_moved_from_it(
    open_door: Callable[[dict[str, bytes]], Door],
) -> None:
    door = open_door(known_farm())
    page = door.ask("GET", "/store").text
    first, second = re.findall(r'<section class="card">.*?</section>', page, re.DOTALL)

    assert "120 Bunny tail" in words(first) and "dried, may leave from Tue 1 Sep 2026 Stems" in words(first)
    assert re.findall(r'<option value="([^"]*)"', first) == ["stall", "waste"]
    assert "30 Love-in-a-mist" in words(second)
    assert "cut Sun 13 Jun 2027, may leave from Mon 14 Jun 2027 to Thu 17 Jun 2027" in words(second)
    assert re.findall(r'<option value="([^"]*)"', second) == ["stall", "dried", "waste"]

    fields = {**form(second), "stems": "10", "to": "stall"}
    assert door.ask("POST", "/store", data=fields).status_code == 303
    assert {one["pile"]: one["stems"] for one in door.get("/v1/store")["stems"]} == {"k5": 120, "k3": 20}

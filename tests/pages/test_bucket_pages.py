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
    """Anna wants 25 lagurus on Tuesday and accepts nigella; 10 lagurus are cut today and 30 nigella before."""
    few = KNOWN_STEMS.replace("k1,lagurus,2027-06-14,60,", "k1,lagurus,2027-06-14,10,2027-06-14")
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
    chosen = {"kind-anna-1@2027-06-15": "nigella"}
    fields = {**form(short.ask("GET", LIST, params=chosen).text), **chosen, "settle": "anna-weekly@2027-06-15"}

    assert short.ask("POST", LIST, data=fields).status_code == 303
    (line,) = short.get("/v1/bucket-lists/2027-06-14")["customers"][0]["lines"]
    assert [(one["product"], one["stems"]) for one in line["from"]] == [("nigella", 25)]
    assert (line["product"], line["filled"]) == ("lagurus", 25)


def test_what_a_florist_does_not_accept_is_refused_in_a_page(short: Door) -> None:
    answer = short.ask("GET", LIST, params={"kind-anna-1@2027-06-15": "tulip"})

    assert answer.status_code == 422
    assert "accepted is lagurus or nigella" in words(answer.text)


def test_a_form_without_what_it_showed_settles_nothing_and_neither_does_enter(short: Door) -> None:
    page = short.ask("GET", LIST).text
    # Enter in a field is the first button that sends the form: it shows, by a GET.
    first = re.search(r"<button[^>]*>", page[page.index(f'action="{LIST}"') :])
    assert first is not None and 'formmethod="get"' in first[0]

    shown = form(page)
    for data in ({}, {"settle": "all"}, {"once": shown["once"], "tag": shown["tag"]}):
        answer = short.ask("POST", LIST, data=data)
        assert answer.status_code == 428 and "Nothing was settled" in words(answer.text)
    assert short.desk.store.stem_balances() == {}


def test_the_second_of_two_browsers_sees_what_has_changed_and_settles_anew(short: Door) -> None:
    first, second = form(short.ask("GET", LIST).text), form(short.ask("GET", LIST).text)
    short.post("/v1/store/moves", {"pile": "k1", "to": "waste", "stems": 4, "reason": "bruised"})
    short.post("/v1/store/moves", {"pile": "k3", "to": "waste", "stems": 20, "reason": "wilted"})

    answer = short.ask("POST", LIST, data={**second, "settle": "all"})
    assert answer.status_code == 412
    assert "It is not as you saw it" in words(answer.text)
    assert "Bunny tail for Studio Anna Verhoeven, Tue 15 Jun 2027 25 16" in words(answer.text)
    assert short.desk.store.stem_balances().get(None) is None

    again = {**form(answer.text), "settle": "anna-weekly@2027-06-15", "no-cut-anna-weekly@2027-06-15": "yes"}
    assert "no-cut" not in first and short.ask("POST", LIST, data=again).status_code in (303, 412)


def test_a_day_far_ahead_asks_twice_and_no_day_breaks_the_page(short: Door) -> None:
    quote = short.post("/v1/quotes", {"date": "2027-07-01", "lines": [{"product": "lagurus:dried", "stems": 5}]})["id"]
    short.post(f"/v1/quotes/{quote}/contract")
    far = "/bucket/2027-06-28"
    page = short.ask("GET", far).text
    (which,) = re.findall(r'name="settle" value="([^"]+)"', page)
    fields = {**form(page), "settle": which}

    asked = short.ask("POST", far, data=fields)
    assert asked.status_code == 428 and "14 days ahead" in words(asked.text)
    again = {**form(asked.text), "settle": which, "far_ahead": "yes"}
    assert short.ask("POST", far, data=again).status_code == 303
    for day in ("9999-12-31", "9999-12-27", "0001-01-01", "2100-01-04"):
        assert short.ask("GET", f"/bucket/{day}").status_code in (200, 422)


def test_a_settled_delivery_is_corrected_taken_back_and_leaves_on_the_page(short: Door) -> None:
    fields = {**form(short.ask("GET", LIST).text), "settle": "anna-weekly@2027-06-15"}
    assert short.ask("POST", LIST, data=fields).status_code == 303
    fix = {"line": "anna-1@2027-06-15", "stems": "20", "reason": "thrown", "note": "five heads bruised"}
    assert short.ask("POST", f"{LIST}/correct", data=fix).status_code == 303
    assert "Corrected: 20 sent, not 25. thrown: five heads bruised" in words(short.ask("GET", LIST).text)

    assert short.ask("POST", f"{LIST}/take-back", data={"which": "anna-weekly@2027-06-15"}).status_code == 303
    fields = {**form(short.ask("GET", LIST).text), "settle": "anna-weekly@2027-06-15"}
    short.ask("POST", LIST, data=fields)
    assert short.ask("POST", f"{LIST}/delivered", data={"due": "2027-06-15"}).status_code == 303
    assert "delivered" in words(short.ask("GET", LIST).text)


def test_a_settled_list_names_what_goes_out_and_what_was_corrected(short: Door) -> None:
    short.settle("/v1/bucket-lists/2027-06-14")
    correction = {"line": "anna-1", "due": "2027-06-15", "stems": 20, "reason": "thrown", "note": "five heads bruised"}
    short.post("/v1/bucket-lists/2027-06-14/correct", correction)
    page = words(short.ask("GET", LIST).text)

    assert "Studio Anna Verhoeven leaves Tue 15 Jun 2027" in page
    assert "10 Love-in-a-mist instead" in page and "Corrected: 20 sent, not 25. thrown: five heads bruised" in page
    assert "lagurus" not in page and "2027-06-15" not in page


@pytest.mark.parametrize("path", ["/claims", "/season?year=2027"])
def test_customers_are_named(short: Door, path: str) -> None:
    short.settle("/v1/bucket-lists/2027-06-14")

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


def test_shares_are_kept_and_what_is_expected_is_sent_with_one_tap(
    open_door: Callable[[dict[str, bytes]], Door],
) -> None:
    door = open_door(bucket_farm())
    door.post("/v1/walk", {"counts": [{"variety": "lagurus", "standing": 90}]})
    assert "checked" not in door.ask("GET", LIST).text

    fields = {**form(door.ask("GET", LIST).text), "evenly-lagurus": "yes"}
    assert door.ask("POST", f"{LIST}/shares", data={**fields, "once": "one"}).status_code == 303
    page = door.ask("GET", LIST).text
    assert 'name="evenly-lagurus" value="yes" checked' in page and "Send what is expected" in page
    assert "No address: Bram's corner, Cora's stems" in words(page)

    for once in ("two", "two", "three"):
        assert door.ask(
            "POST", f"{LIST}/expected", data={**form(page), "evenly-lagurus": "yes", "once": once}
        ).is_redirect
    page = door.ask("GET", LIST).text
    assert "Told: Studio Anna Verhoeven" in words(page) and "Send what is expected" not in page
    assert [one["kind"] for one in door.get("/v1/outbox")["letters"]] == ["list-expected"]

    fields = {name: value for name, value in form(page).items() if not name.startswith("evenly-")}
    assert door.ask("POST", f"{LIST}/shares", data={**fields, "once": "four"}).status_code == 303
    assert "checked" not in door.ask("GET", LIST).text
    assert "Send what is expected" not in door.ask("GET", "/bucket/2027-06-21").text

"""The pages of the next season: shown, ticked, written in one tap; standing orders one by one; the order list."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date

import pytest

from haulm.jobs.gaps.copy_season import COPIED, CopyAsked, copy_season
from support.desks import done, on
from support.door import Door
from support.farms import grower_folder
from support.season_farm import SITE, season_farm
from support.tapping import words_of
from support.typed_forms import forms_of

OpenDoor = Callable[[dict[str, bytes]], Door]
ATTIC = {
    "known_stems": "key,product,ready_date,stems\nattic,zinnia:dried,2027-06-01,90",
    "standing_orders": """
        key,customer,weekday,first_week,last_week,committed_on
        anna-weekly,anna,tue,2027-W30,2027-W31,2027-01-10
        """,
    "standing_lines": "key,order,stems,product\nanna-1,anna-weekly,20,zinnia:dried",
    "orders": "key,customer,kind,due_date,committed_on,status\nparty,bram,one_off,2028-09-01,2027-06-01,contracted",
    "order_lines": "key,order,stems,product\nparty-1,party,50,zinnia:dried",
}
"""90 dried stems: 50 promised to Bram in 2028, 40 to Anna this year; nothing is left for her next year."""


@pytest.fixture
def door(open_door: OpenDoor) -> Door:
    return open_door(season_farm())


def form_of(text: str, action: str) -> dict[str, str]:
    """The fields of a form as a browser sends them untouched."""
    return next(form.fields for form in forms_of(text) if form.action == action)


def ticked(text: str) -> list[str]:
    return re.findall(r'name="copy-([\w-]+)" value="yes" checked', text)


def test_each_sowing_is_shown_with_its_day_and_what_it_stood_for_and_nothing_is_written(door: Door) -> None:
    answer = door.ask("GET", "/next-year")
    said = words_of(answer)

    assert "2027, sown again for 2028." in said
    assert "Mon 17 Apr 2028, 100 places in trays under cover, Long bed" in said
    assert "This season Mon 19 Apr 2027; about" in said and "it was lost" in said
    assert "a metre of it brings €0.00" in said and "Pink peony" in said and "a perennial: it stays" in said
    assert set(ticked(answer.text)) == {"zinnia-1", "zinnia-2", "cosmos-1", "rud-1"}
    assert not door.desk.store.entries_of(COPIED)


def test_one_tap_writes_what_is_ticked_and_a_second_tap_nothing(door: Door) -> None:
    form = form_of(door.ask("GET", "/next-year").text, "/next-year")
    del form["copy-rud-1"]

    first, second = (door.ask("POST", "/next-year", data={**form, "step": "write"}) for _ in range(2))

    assert first.status_code == second.status_code == 303 and "said=season_copied" in first.headers["location"]
    keys = {row["key"] for row in door.get("/v1/batches")["rows"] if row["key"].endswith("-in-2028")}
    assert keys == {"zinnia-1-in-2028", "zinnia-2-in-2028", "cosmos-1-in-2028"}
    assert len(door.desk.store.entries_of(COPIED)) == 1

    after = door.ask("GET", "/next-year")
    assert after.text.count('">in the plan already</a>') == 3 and ticked(after.text) == ["rud-1"]


def test_a_second_page_that_was_open_copies_nothing_twice(door: Door) -> None:
    forms = [form_of(door.ask("GET", "/next-year").text, "/next-year") for _ in range(2)]
    for form in forms:
        assert door.ask("POST", "/next-year", data={**form, "step": "write"}).status_code == 303
    assert len(door.desk.store.entries_of(COPIED)) == 1


def test_looking_again_says_which_bed_is_over_full_and_writes_nothing(door: Door) -> None:
    form = form_of(door.ask("GET", "/next-year").text, "/next-year")
    door.post("/v1/batches", {"key": "more", "variety": "zinnia", "sow_date": "2028-05-01", "method": "direct",
                              "sown": 60, "bed": "short", "metres": 4})  # fmt: skip
    looked = door.ask("POST", "/next-year", data={**form, "copy-sun-1": "yes", "step": "look"})

    assert "Short bed is over-full" in words_of(looked)
    assert "sun-1" in ticked(looked.text) and not door.desk.store.entries_of(COPIED)


def test_nothing_ticked_is_said_on_the_page(door: Door) -> None:
    answer = door.ask("POST", "/next-year", data={"season": "2027", "step": "write"})
    assert answer.status_code == 422 and "Nothing is ticked" in words_of(answer)


def test_in_the_slack_months_figures_are_ticked_and_in_season_by_a_word_alone(open_door: OpenDoor) -> None:
    years = "key,variety,year,first_cut,last_cut,stems,plants\nz25,zinnia,2025,2025-07-14,2025-09-24,950,60"
    door = open_door(season_farm(past_years=years))
    form = form_of(door.ask("GET", "/next-year").text, "/next-year")
    assert "figures" not in form and "figure-zinnia/stems_per_plant" in form

    door.ask("POST", "/next-year", data={**form, "step": "write"})
    assert door.get("/v1/varieties/zinnia")["stems_per_plant"] is None

    on(door.desk, date(2027, 11, 8))
    form = form_of(door.ask("GET", "/next-year").text, "/next-year")
    assert form["figures"] == "yes"
    door.ask("POST", "/next-year", data={**form, "step": "write"})
    assert door.get("/v1/varieties/zinnia")["stems_per_plant"] is not None


def test_a_standing_order_is_renewed_with_the_stems_that_are_typed(door: Door) -> None:
    text = door.ask("GET", "/next-year/orders").text
    form = form_of(text, "/next-year/orders/anna-weekly")
    assert "Stems of White zinnia each time" in text and form["stems-anna-1"] == "20"

    answer = door.ask("POST", "/next-year/orders/anna-weekly", data={**form, "stems-anna-1": "12", "step": "renew"})
    assert answer.status_code == 303
    said = words_of(door.ask("GET", "/next-year/orders"))
    assert "renewed from Tue 25 Jul 2028 to Tue 22 Aug 2028" in said
    assert door.get("/v1/standing-lines/anna-1-in-2028")["stems"] == 12


def test_one_that_is_left_to_end_is_said_to_end(door: Door) -> None:
    form = form_of(door.ask("GET", "/next-year/orders").text, "/next-year/orders/bram-weekly")
    assert door.ask("POST", "/next-year/orders/bram-weekly", data={**form, "step": "end"}).status_code == 303
    assert "ends with its last week" in words_of(door.ask("GET", "/next-year/orders"))


def test_a_refusal_stands_beside_its_order_with_what_was_typed_and_the_way_to_overrule_it(open_door: OpenDoor) -> None:
    door = open_door(season_farm(**ATTIC))
    form = form_of(door.ask("GET", "/next-year/orders").text, "/next-year/orders/anna-weekly")
    sent = {**form, "stems-anna-1": "19", "step": "renew"}

    answer = door.ask("POST", "/next-year/orders/anna-weekly", data=sent)
    assert answer.status_code == 409
    own = answer.text.split('<details class="folded" open>')[1]
    assert "Not renewed." in own and "Bram" in own and 'value="19"' in own and "override_reason" in own

    again = form_of(answer.text, "/next-year/orders/anna-weekly")
    done_so = door.ask(
        "POST", "/next-year/orders/anna-weekly", data={**again, "override_reason": "first come", "step": "renew"}
    )
    assert done_so.status_code == 303


def test_the_order_list_is_a_page_a_paper_and_a_table(door: Door) -> None:
    done(door.desk, lambda work: copy_season(door.desk, work, CopyAsked(2027)))
    said = words_of(door.ask("GET", "/next-year/list"))
    assert "Order list for 2028" in said and "White zinnia, seed" in said and "seed for 200 places" in said
    assert "Mon 10 Apr 2028" in said

    table = door.ask("GET", "/next-year/list/2028.csv")
    assert table.headers["content-type"].startswith("text/csv") and "White zinnia,seed,200,0,200" in table.text
    assert 'filename="order-list-2028.csv"' in table.headers["content-disposition"]
    assert door.ask("GET", "/paper/order-list.pdf?season=2028").content.startswith(b"%PDF")


@pytest.mark.parametrize("path", ["/next-year", "/next-year/orders", "/next-year/list"])
def test_a_first_season_says_so_and_shows_the_way_on(open_door: OpenDoor, path: str) -> None:
    door = open_door(grower_folder(site=SITE, varieties="key,name\nzinnia,Zinnia"))
    answer = door.ask("GET", path)
    assert answer.status_code == 200 and 'class="button"' in answer.text
    assert any(
        words in words_of(answer)
        for words in ("no season yet", "No standing order belongs", "Nothing is planned that would have to be ordered")
    )


def test_it_is_found_from_today_in_the_slack_months_and_by_its_words(door: Door) -> None:
    assert 'href="/next-year"' not in door.ask("GET", "/").text
    assert 'href="/next-year"' in door.ask("GET", "/plan").text
    assert 'href="/next-year/list"' in door.ask("GET", "/find?q=order list").text
    on(door.desk, date(2027, 11, 8))
    assert 'href="/next-year"' in door.ask("GET", "/").text

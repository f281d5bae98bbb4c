"""A florist's page by her link: what the return key sends, and that a form acts once."""

import re
from datetime import date

from haulm.jobs.florists.florist_links import link_number
from haulm.jobs.florists.reply_to_list import MOST_A_DAY
from haulm.web.links import Holder, Links
from support.desks import on
from support.door import SECRET, Door


def link_of(door: Door, customer: str = "anna") -> str:
    """The path of a customer's page, in time for the next list."""
    on(door.desk, date(2027, 6, 10))
    return Links(SECRET, door.desk.now).florist_path(Holder(customer, link_number(door.desk, customer)))


def test_the_return_key_in_a_number_sends_what_was_typed_and_never_a_plain_yes(known: Door) -> None:
    page = known.ask("GET", link_of(known)).text
    (form,) = [found for found in re.findall(r"<form.*?</form>", page, flags=re.DOTALL) if "more-nigella" in found]

    # A browser presses the first button of the form.
    assert re.findall(r'name="word" value="(\w+)"', form) == ["ask"]


def test_a_second_tap_of_an_answer_is_one_answer(known: Door) -> None:
    path = link_of(known)
    form = {"once": "a-key-of-the-form", "word": "ask", "more-nigella": "2"}

    assert [known.ask("POST", path, data=form).status_code for _ in range(2)] == [303, 303]
    assert len(known.get("/v1/replies")["replies"]) == 1
    assert "2 bunches more of Love-in-a-mist" in known.ask("GET", path).text


def test_a_refused_answer_is_a_page_without_the_grower_s_pages(known: Door) -> None:
    answer = known.ask("POST", link_of(known), data={"word": "ask", "more-nigella": "many"})

    assert (answer.status_code, answer.headers["content-type"].partition(";")[0]) == (422, "text/html")
    assert "a whole number such as 80" in answer.text and 'href="/short"' not in answer.text


def test_a_number_of_not_ready_alone_is_refused_and_a_strange_day_is_a_page(known: Door) -> None:
    stood = known.desk.store.farm().version

    assert known.ask("POST", "/walk", data={"not-ready-b1": "20"}).status_code == 422
    assert known.ask("POST", "/cut", data={"variety": "lagurus", "stems": "5", "day": "soon"}).status_code == 422
    assert known.desk.store.farm().version == stood


def test_after_the_password_nobody_is_sent_to_another_site(known: Door) -> None:
    for strange in ("//elsewhere.example", "/\\elsewhere.example", "/\t/elsewhere.example", "/é"):
        page = known.ask("GET", "/login", params={"to": strange}).text
        assert 'name="to" value="/"' in page, strange


def test_the_page_says_what_is_settled_minutes_after_it_was_and_shows_the_next_week(known: Door) -> None:
    path = link_of(known)
    on(known.desk, date(2027, 6, 14))
    before = known.ask("GET", path).text
    assert "Leaves Tue 15 Jun 2027" in before and "20 asked" not in before and "25 asked. Yours: all 25" in before

    known.settle("/v1/bucket-lists/2027-06-14", cut=["k1"])
    page = known.ask("GET", path).text
    assert "all 25 stems" in page and "settled" in page and "25 asked" not in page
    assert "For week 25" in page and "25 Bunny tail, Tue 22 Jun 2027" in page


def test_after_the_cut_off_the_closed_week_and_the_open_one_are_both_shown_and_both_may_be_asked_for(
    known: Door,
) -> None:
    path = link_of(known)
    on(known.desk, date(2027, 6, 12))
    page = known.ask("GET", path).text
    assert "Closed: week 24 (14 Jun)" in page and "25 Bunny tail, Tue 15 Jun 2027" in page
    assert "For week 25" in page and "25 Bunny tail, Tue 22 Jun 2027" in page
    assert "closed on Fri 11 Jun 2027" in known.ask("GET", path, params={"week": "2027-W24"}).text
    assert known.ask("GET", path, params={"week": "2027-W30"}).status_code == 422

    for week in ("2027-W24", "2027-W25"):
        known.ask("POST", path, data={"word": "ask", "week": week, "line-anna-1": "20", "was-anna-1": "25"})
    assert [(one["week"], one["late"]) for one in known.get("/v1/replies")["replies"]] == [
        ("2027-W24", True),
        ("2027-W25", False),
    ]


def test_a_delivery_is_answered_to_on_the_page_and_the_last_answer_is_shown(known: Door) -> None:
    path = link_of(known)
    on(known.desk, date(2027, 6, 14))
    for word in ("release", "something_else"):
        form = {"delivery": "anna-1@2027-06-15", "word": word, "note": "white if you can"}
        assert known.ask("POST", path, data=form).status_code == 303
    page = known.ask("GET", path).text
    assert "You told us: something else instead of what is missing. “white if you can”" in page
    (reply,) = known.get("/v1/replies")["replies"]
    assert reply["asks"] == ["of Tue 15 Jun 2027: something else instead of what is missing"]

    for strange in ({"delivery": "party-1@2027-06-18"}, {"delivery": "anna-1@2027-06-15", "word": "yes"}):
        assert known.ask("POST", path, data={"word": "wait", **strange}).status_code in (404, 422)


def test_a_pause_is_picked_by_its_week_and_never_typed(known: Door) -> None:
    page = known.ask("GET", link_of(known)).text
    weeks = re.findall(r'<option value="(\d{4}-W\d\d)">week \d+ \(\d+ \w{3}\)</option>', page)

    assert len(weeks) == 26 and weeks == sorted(weeks) and 'type="text"' not in page
    assert known.ask("POST", link_of(known), data={"word": "pause", "until": weeks[2]}).status_code == 303
    assert "a pause until the end of week" in known.ask("GET", link_of(known)).text


def test_so_many_answers_in_a_day_and_then_a_call(known: Door) -> None:
    path = link_of(known)
    sent = [
        known.ask("POST", path, data={"once": str(turn), "word": "ask", "more-nigella": "1"})
        for turn in range(MOST_A_DAY + 1)
    ]

    assert [answer.status_code for answer in sent] == [303] * MOST_A_DAY + [422]
    assert "please ring us" in sent[-1].text and len(known.get("/v1/replies")["replies"]) == MOST_A_DAY

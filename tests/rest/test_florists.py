"""Links that open nothing, and answers that come at an odd moment: on the farm of known stems, Thursday 17 June.

The next bucket day is Monday 21 June (week 25). Anna's 25 lagurus are due on Tuesday 22 June, from the 40 of k2.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haulm.jobs.florists.florist_links import end_links, link_number
from haulm.web.links import Holder, Links
from support.desks import NOW, desk_over, on, sqlite_store
from support.door import SECRET, Door
from support.known_farm import known_farm
from support.tapping import form_of

from .conftest import OpenDoor

THURSDAY, MONDAY = date(2027, 6, 17), date(2027, 6, 21)
LIST = "/v1/bucket-lists/2027-06-21"
LONG_ORDER = {
    "standing_orders": """
        key,customer,weekday,first_week,last_week,committed_on
        anna-weekly,anna,tue,2027-W24,2027-W30,2027-01-10
        """,
}


@pytest.fixture
def thursday(door: Door) -> Door:
    """The door on the Thursday before bucket day."""
    on(door.desk, THURSDAY)
    return door


def path_of(door: Door, customer: str = "anna") -> str:
    """The page of a florist by her link."""
    links = Links(SECRET, door.desk.now)
    return links.florist_path(Holder(customer, link_number(door.desk, customer)))


def api_of(door: Door, customer: str = "anna") -> str:
    """The same link for a program."""
    return path_of(door, customer).replace("/f/", "/v1/florist/")


def told(door: Door, *asks: dict[str, Any], customer: str = "anna", note: str = "") -> int:
    """Answer as a florist; gives the number of the answer that waits."""
    assert "in_time" in door.post(f"{api_of(door, customer)}/answers", {"asks": list(asks), "note": note})
    number: int = door.get("/v1/replies")["replies"][-1]["id"]
    return number


def accepted(door: Door, reply: int, **word: Any) -> list[str]:
    """Accept an answer; gives what came of each ask."""
    outcomes: list[str] = door.post(f"/v1/replies/{reply}/accept", word)["outcomes"]
    return outcomes


def due_stems(door: Door, day: str = "2027-06-22") -> dict[str, int]:
    """What is asked on a day, by line."""
    return {line["line"]: line["stems"] for line in door.get("/v1/match")["lines"] if line["due"] == day}


def test_a_florist_without_a_standing_order_may_look_and_ask(thursday: Door) -> None:
    assert thursday.get(api_of(thursday, "bram"))["own"] == []
    assert "Anna" not in thursday.ask("GET", path_of(thursday, "bram")).text

    reply = told(thursday, {"kind": "more", "product": "lagurus", "bunches": 1}, customer="bram")
    assert accepted(thursday, reply) == ["yes"]


def test_nothing_is_trimmed_upwards_and_nothing_but_bunches(thursday: Door) -> None:
    more = told(thursday, {"kind": "more", "product": "lagurus", "bunches": 1})
    skip = told(thursday, {"kind": "skip"})

    thursday.refused(422, "POST", f"/v1/replies/{more}/accept", json={"bunches": {"0": 2}})
    thursday.refused(422, "POST", f"/v1/replies/{more}/accept", json={"bunches": {"1": 1}})
    thursday.refused(422, "POST", f"/v1/replies/{skip}/accept", json={"bunches": {"0": 1}})
    assert [one["id"] for one in thursday.get("/v1/replies")["replies"]] == [more, skip]


def test_the_later_of_two_answers_stands(thursday: Door) -> None:
    for stems in (30, 12, 18):
        accepted(thursday, told(thursday, {"kind": "change", "line": "anna-1", "stems": stems}))

    assert due_stems(thursday) == {"anna-1": 18}
    assert len(thursday.desk.store.entries_of("florist-replied")) == 3


def test_an_answer_after_the_list_was_confirmed_does_not_touch_it(thursday: Door) -> None:
    on(thursday.desk, MONDAY)
    thursday.settle(LIST, cut=["k2"])
    confirmed, books = thursday.get(LIST), thursday.desk.store.promises()
    asks = [{"kind": "skip"}, {"kind": "change", "line": "anna-1", "stems": 5}]

    outcomes = accepted(thursday, told(thursday, *asks, {"kind": "more", "product": "lagurus", "bunches": 1}))

    assert all("too late" in outcome for outcome in outcomes)
    assert (thursday.get(LIST), thursday.desk.store.promises()) == (confirmed, books)
    assert thursday.desk.store.farm().changes == ()


def test_a_pause_accepted_weeks_later_touches_no_list_that_was_confirmed(open_door: OpenDoor) -> None:
    door = open_door(known_farm(**LONG_ORDER))
    on(door.desk, THURSDAY)
    reply = told(door, {"kind": "pause", "until": "2027-W28"})
    for monday in (MONDAY, MONDAY + timedelta(days=7)):
        on(door.desk, monday)
        uncut = {"order": "anna-weekly", "due": str(monday + timedelta(days=1)), "no_cut": True}
        said = {"acknowledge": ["anna"], "deliveries": [uncut]}
        door.post(f"/v1/bucket-lists/{monday}/confirm", said, If_Match="*")
    accepted(door, reply)

    assert {str(change.week) for change in door.desk.store.farm().changes} == {"2027-W27", "2027-W28"}


def test_a_line_that_is_gone_when_the_answer_is_judged_is_said(thursday: Door) -> None:
    reply = told(thursday, {"kind": "change", "line": "anna-1", "stems": 15})
    thursday.patch("/v1/standing-orders/anna-weekly", {"status": "ended"})

    assert accepted(thursday, reply) == ["this line does not run any more"]
    assert thursday.desk.store.farm().changes == ()


class TestLinksThatOpenNothing:
    """A forged, old, ended or borrowed link: one sentence, nothing leaked, nothing written."""

    def broken(self, door: Door) -> dict[str, str]:
        later = Links(SECRET, lambda: door.desk.now() - timedelta(days=91))
        ended = path_of(door)
        with door.desk.store.unit_of_work(actor="owner", now=NOW) as work:
            end_links(work, "anna")
            work.save()
        return {
            "forged": Links("another secret", door.desk.now).florist_path(Holder("anna", 1)),
            "old": later.florist_path(Holder("anna", link_number(door.desk, "anna"))),
            "ended": ended,
            "of another purpose": Links(SECRET, door.desk.now)
            .no_more_mail_path(Holder("anna", link_number(door.desk, "anna")))
            .replace("/no-more-mail/", "/f/"),
            "rubbish": "/f/%00%ff",
            "another name under her signature": path_of(door).replace("/f/", "/f/A", 1),
        }

    def test_each_is_refused_alike_and_leaves_the_farm_as_it_was(self, thursday: Door) -> None:
        links = self.broken(thursday)
        version = thursday.desk.store.farm().version
        for name, path in links.items():
            page = thursday.ask("GET", path)
            sent = thursday.ask("POST", path, data={"word": "skip"})
            problem = thursday.refused(403, "GET", path.replace("/f/", "/v1/florist/"))
            posted = thursday.refused(
                403, "POST", f"{path.replace('/f/', '/v1/florist/')}/answers", json={"asks": [{"kind": "skip"}]}
            )

            assert (page.status_code, sent.status_code) == (403, 403), name
            assert "not valid any more" in page.text and "Verhoeven" not in page.text and "/orders" not in page.text
            assert problem["type"] == posted["type"] == "/problems/personal-link-not-valid"
            assert page.headers["Referrer-Policy"] == "no-referrer"
        assert thursday.desk.store.farm().version == version
        assert thursday.desk.store.entries_of("florist-replied") == ()

    def test_a_link_is_no_way_into_the_farm(self, thursday: Door) -> None:
        token = api_of(thursday).rpartition("/")[2]
        with Door(thursday.desk, caller="192.0.2.7") as elsewhere:
            headers = {"Authorization": f"Bearer {token}", "Cookie": f"haulm_pass={token}"}
            assert elsewhere.ask("GET", "/v1/customers", headers=headers).status_code == 403
            assert elsewhere.get(api_of(thursday))["week"] == "2027-W25"

    def test_no_link_is_kept_in_the_database(self, thursday: Door) -> None:
        token = api_of(thursday).rpartition("/")[2]
        thursday.post(f"{api_of(thursday)}/answers", {"asks": [{"kind": "skip"}]}, Idempotency_Key="one")
        thursday.ask("POST", path_of(thursday), data={"word": "skip", "once": "two"})

        with thursday.desk.store.doors._read() as connection:
            tables = [
                name for (name,) in connection.exec_driver_sql("SELECT name FROM sqlite_master WHERE type='table'")
            ]
            kept = [str(row) for name in tables for row in connection.exec_driver_sql(f'SELECT * FROM "{name}"')]
        assert len(kept) > 10
        assert [row for row in kept if token in row] == []

    def test_the_same_key_of_two_florists_is_two_answers(self, thursday: Door) -> None:
        for customer in ("anna", "bram"):
            body = {"asks": [{"kind": "yes"}]}
            thursday.post(f"{api_of(thursday, customer)}/answers", body, Idempotency_Key="same")

        subjects = [entry.subject for entry in thursday.desk.store.entries_of("florist-replied")]
        assert subjects == ["customers/anna", "customers/bram"]


def test_the_page_takes_what_a_form_sends_without_scripts(thursday: Door) -> None:
    form = {"word": "ask", "more-lagurus": "1", "line-anna-1": "20", "was-anna-1": "25", "note": "Thank you"}
    answer = thursday.ask("POST", path_of(thursday), data={**form, "once": "k"})
    again = thursday.ask("POST", path_of(thursday), data={**form, "once": "k"})

    assert answer.status_code == again.status_code == 303
    [reply] = thursday.get("/v1/replies")["replies"]
    assert reply["asks"] == ["1 bunch more of Bunny tail", "20 stems of Bunny tail this week"]
    shown = form_of(thursday.ask("GET", "/replies").text, f"/replies/{reply['id']}")
    assert thursday.ask("POST", f"/replies/{reply['id']}", data={**shown, "word": "accept"}).status_code == 303
    assert sorted(due_stems(thursday).values()) == [10, 20]


def test_a_form_with_nothing_asked_is_refused_in_a_sentence(thursday: Door) -> None:
    answer = thursday.ask("POST", path_of(thursday), data={"word": "ask", "line-anna-1": "25", "was-anna-1": "25"})

    assert answer.status_code == 422
    assert "asks" in answer.text


ASKS = st.one_of(
    st.just({"kind": "skip"}),
    st.builds(lambda n: {"kind": "change", "line": "anna-1", "stems": n}, st.integers(0, 60)),
    st.builds(lambda n: {"kind": "more", "product": "lagurus", "bunches": n}, st.integers(1, 4)),
    st.builds(lambda n: {"kind": "pause", "until": f"2027-W{n}"}, st.integers(25, 30)),
)


@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(asks=st.lists(ASKS, min_size=1, max_size=6), judged_at=st.lists(st.booleans(), min_size=6, max_size=6))
def test_no_answer_whenever_it_comes_changes_a_confirmed_list(
    tmp_path_factory: pytest.TempPathFactory, asks: list[dict[str, Any]], judged_at: list[bool]
) -> None:
    """Half of the answers come before the list is confirmed and are judged after it; the others come after."""
    store = sqlite_store(tmp_path_factory.mktemp("farm"))
    with Door(desk_over(store, known_farm(**LONG_ORDER))) as door:
        on(door.desk, MONDAY)
        early = [told(door, ask) for ask, is_early in zip(asks, judged_at, strict=False) if is_early]
        door.settle(LIST, cut=["k2"])
        confirmed = door.get(LIST)
        books = [found for found in store.promises() if found.due <= date(2027, 6, 27)]
        late = [told(door, ask) for ask, is_early in zip(asks, judged_at, strict=False) if not is_early]
        for reply in (*early, *late):
            accepted(door, reply, override=True)

        assert door.get(LIST) == confirmed
        assert [found for found in store.promises() if found.due <= date(2027, 6, 27)] == books
        assert [change for change in store.farm().changes if str(change.week) == "2027-W25"] == []
    store.close()

"""Forms that rest on what they showed: a page that is overtaken does nothing, says why and keeps what was typed."""

import re
from datetime import date
from typing import Any

import pytest

from haulm.jobs.florists.florist_links import link_number
from haulm.web.links import Holder, Links
from support.desks import on
from support.door import SECRET, Door
from support.known_farm import PARTY, growing_farm, known_farm
from support.tapping import form_of, tapped, words_of

JARS: dict[str, Any] = {
    "date": "2027-06-19",
    "due": "2027-06-18",
    "palette": "cream",
    "pieces": [{"piece": "little jar", "count": 5}],
}
FEWER = {**JARS, "pieces": [{"piece": "little jar", "count": 3}]}
STEPS: dict[str, dict[str, str]] = {
    "hold": {"until": "2027-06-17"},
    "contract": {"deposit": "5.00"},
    "final-numbers": {"count-little_jar": "4"},
    "anew": {"says_homes": "yes", "home-cats": "on"},
    "release": {},
    "cancel": {},
}
NOTHING = "Nothing was done"


def page_of(page: str, step: str) -> str:
    """The page on which the form for a step stands: what ends a quote asks on one of its own."""
    return f"{page}/end/{step}" if step in ("release", "cancel") else page


GAP = "/short/lagurus-2027-W37"


@pytest.fixture
def quoted(open_door: Any) -> tuple[Door, str]:
    """A quote of five little jars: its door and its page."""
    door: Door = open_door(known_farm(recipes="piece,role,stems\nlittle_jar,texture,3\nlittle_jar,accent,1"))
    return door, f"/quotes/{door.post('/v1/quotes', JARS)['id']}"


@pytest.mark.parametrize("step", STEPS)
def test_a_form_of_a_quote_that_changed_meanwhile_shows_was_and_now(quoted: tuple[Door, str], step: str) -> None:
    door, page = quoted
    stale = form_of(door.ask("GET", page_of(page, step)).text, f"{page}/{step}")
    door.post(f"/v1{page}/change", FEWER)
    version = door.desk.store.version()

    answer = door.ask("POST", f"{page}/{step}", data={**stale, **STEPS[step]})

    said = words_of(answer)
    assert answer.status_code == 412 and NOTHING in said
    assert "Version 1 2" in said and "Little jar (pieces) 5 3" in said and f"Price {stale['seen-Price']}" in said
    assert door.desk.store.version() == version
    # What was typed stands in the form of the new page, and that form is good.
    for name, value in STEPS[step].items():
        kept = re.search(rf'<input[^>]*name="{name}"[^>]*>', answer.text)
        assert kept is not None and (f'value="{value}"' in kept[0] or "checked" in kept[0]), name
    again = {**form_of(answer.text, f"{page}/{step}"), **STEPS[step]}
    assert door.ask("POST", f"{page}/{step}", data=again).status_code == 303


@pytest.mark.parametrize("step", STEPS)
def test_a_second_tap_does_nothing_more_and_a_form_that_showed_nothing_does_nothing(
    quoted: tuple[Door, str], step: str
) -> None:
    door, page = quoted
    blind = door.ask("POST", f"{page}/{step}", data=STEPS[step])
    assert blind.status_code == 428 and NOTHING in words_of(blind)

    form = {**form_of(door.ask("GET", page_of(page, step)).text, f"{page}/{step}"), **STEPS[step]}
    before = door.desk.store.version()
    for _ in range(2):
        assert door.ask("POST", f"{page}/{step}", data=form).status_code == 303
    assert door.desk.store.version() == before + 1


def test_what_was_delivered_is_written_down_once(quoted: tuple[Door, str]) -> None:
    door, page = quoted
    assert tapped(door, page, "contract").status_code == 303
    on(door.desk, date(2027, 6, 18))
    first, second = (form_of(door.ask("GET", page).text, f"{page}/fulfil") for _ in range(2))
    for _ in range(2):
        assert door.ask("POST", f"{page}/fulfil", data=first).status_code == 303
    version = door.desk.store.version()

    refused = door.ask("POST", f"{page}/fulfil", data=second)
    assert refused.status_code == 412 and "Stands contracted delivered" in words_of(refused)
    assert door.ask("POST", f"{page}/fulfil", data={}).status_code == 428
    assert door.desk.store.version() == version


def test_enter_promises_nothing_and_no_single_tap_ends_a_wedding(quoted: tuple[Door, str]) -> None:
    door, page = quoted
    text = door.ask("GET", page).text

    for step in ("hold", "contract", "final-numbers"):
        form = text[text.index(f'action="{page}/{step}"') :]
        first = re.search(r"<button[^>]*>", form)
        assert first is not None and "disabled" in first[0], step
    for step in ("release", "cancel"):
        assert f'action="{page}/{step}"' not in text and f'href="{page}/end/{step}"' in text, step
        assert "Leave it as it is" in door.ask("GET", f"{page}/end/{step}").text, step


class TestReplies:
    """The grower's word on a florist's answer."""

    @pytest.fixture
    def asking(self, open_door: Any) -> Door:
        """Anna asks for two bunches of love-in-a-mist more, on the Thursday before the bucket day."""
        door: Door = open_door(known_farm(**PARTY))
        on(door.desk, date(2027, 6, 10))
        path = Links(SECRET, door.desk.now).florist_path(Holder("anna", link_number(door.desk, "anna")))
        asks = {"asks": [{"kind": "more", "product": "nigella", "bunches": 2}]}
        door.post(f"/v1/florist/{path.removeprefix('/f/')}/answers", asks)
        return door

    def test_the_page_says_what_it_would_cost_and_refuses_what_is_overtaken(self, asking: Door) -> None:
        page, number = asking.ask("GET", "/replies"), asking.get("/v1/replies")["replies"][0]["id"]
        assert "Accepting it costs nobody anything." in words_of(page)
        form = {**form_of(page.text, f"/replies/{number}"), "word": "accept", "bunches-0": "1", "note": "Gladly"}
        asking.patch("/v1/known-stems/k3", {"stems": 5})

        answer = asking.ask("POST", f"/replies/{number}", data=form)
        said = words_of(answer)
        assert answer.status_code == 412 and "Accepting it costs nobody anything would be 0 % sure" in said
        assert 'value="1"' in answer.text and 'value="Gladly"' in answer.text
        assert len(asking.get("/v1/replies")["replies"]) == 1

    def test_a_second_tap_judges_nothing_and_a_second_browser_sees_the_word(self, asking: Door) -> None:
        number = asking.get("/v1/replies")["replies"][0]["id"]
        first, second = (form_of(asking.ask("GET", "/replies").text, f"/replies/{number}") for _ in range(2))
        before = asking.desk.store.version()
        for _ in range(2):
            done = asking.ask("POST", f"/replies/{number}", data={**first, "word": "accept"})
            assert done.status_code == 303
        assert asking.desk.store.version() == before + 1

        answer = asking.ask("POST", f"/replies/{number}", data={**second, "word": "decline"})
        assert answer.status_code == 412 and "Your word not given yet accepted" in words_of(answer)
        blind = asking.ask("POST", f"/replies/{number}", data={"word": "decline"})
        assert blind.status_code == 428 and asking.desk.store.version() == before + 1


class TestGaps:
    """A way to close a gap."""

    @pytest.fixture
    def growing(self, open_door: Any) -> Door:
        """The door to the farm that grows too little."""
        door: Door = open_door(growing_farm())
        return door.worked_out()

    def test_a_way_that_is_overtaken_is_not_taken_and_the_new_one_is_shown(self, growing: Door) -> None:
        form = form_of(growing.ask("GET", GAP).text, f"{GAP}/sow")
        more = growing.get("/v1/standing-lines")["rows"][0]
        growing.patch(f"/v1/standing-lines/{more['key']}?override=true", {"stems": more["stems"] + 20})
        farm = growing.worked_out().desk.store.farm()

        answer = growing.ask("POST", f"{GAP}/sow", data=form)

        assert answer.status_code == 412 and f"Sowing 1 {form['seen-Sowing 1']}" in words_of(answer)
        assert growing.desk.store.farm() == farm
        again = form_of(answer.text, f"{GAP}/sow")
        assert again["seen-Sowing 1"] != form["seen-Sowing 1"]
        assert growing.ask("POST", f"{GAP}/sow", data=again).status_code == 303
        assert len(growing.desk.store.farm().batches) > len(farm.batches)

    def test_a_way_that_is_still_to_be_worked_out_anew_is_taken_where_it_does_what_it_said(self, growing: Door) -> None:
        form = form_of(growing.ask("GET", GAP).text, f"{GAP}/sow")
        growing.patch("/v1/customers/anna", {"name": "Anna of the mill"})
        assert "being worked out anew" in words_of(growing.ask("GET", GAP))
        assert growing.ask("POST", f"{GAP}/sow", data=form).status_code == 303
        assert growing.worked_out().get("/v1/shortfalls")["gaps"] == []

    def test_a_way_that_does_less_since_is_not_taken_though_nothing_else_is_worked_out_yet(self, growing: Door) -> None:
        form = form_of(growing.ask("GET", GAP).text, f"{GAP}/sow")
        more = growing.get("/v1/standing-lines")["rows"][0]
        growing.patch(f"/v1/standing-lines/{more['key']}?override=true", {"stems": more["stems"] + 20})
        farm = growing.desk.store.farm()

        answer = growing.ask("POST", f"{GAP}/sow", data=form)
        assert answer.status_code == 412 and f"How sure with it {form['seen-How sure with it']}" in words_of(answer)
        assert growing.desk.store.farm() == farm

    def test_a_gap_that_another_browser_closed_is_not_closed_twice(self, growing: Door) -> None:
        first, second = (form_of(growing.ask("GET", GAP).text, f"{GAP}/sow") for _ in range(2))
        assert growing.ask("POST", f"{GAP}/sow", data=first).status_code == 303
        farm = growing.desk.store.farm()

        answer = growing.ask("POST", f"{GAP}/sow", data=second)
        assert answer.status_code == 412
        assert "This is not short any more" in words_of(answer) and "not there" in words_of(answer)
        assert growing.desk.store.farm() == farm

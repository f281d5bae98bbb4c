"""Every route with every role: REST, pages and paper, reading and writing, are let in exactly as they declare."""

from __future__ import annotations

import re

import httpx
import pytest

from haulm.jobs.farm.let_in import give_token, set_password
from haulm.jobs.florists.florist_links import link_number
from haulm.store.words import DoorRole
from haulm.web.audience import Audience, audiences
from haulm.web.links import Holder, Links
from support.door import SECRET, Door

LET_IN = {
    Audience.OWNER: {"owner"},
    Audience.HAND: {"owner", "hand"},
    Audience.ANYBODY: {"owner", "hand", "florist", "nobody"},
}


@pytest.fixture
def locked(door: Door) -> Door:
    """The door of a farm whose owner and hand have passwords."""
    set_password(door.desk, DoorRole.OWNER, "lagurus in the rain")
    set_password(door.desk, DoorRole.HAND, "early on bucket day")
    return door


def link(door: Door) -> str:
    """The token of a florist's link."""
    made = Links(SECRET, door.desk.now).florist_path(Holder("anna", link_number(door.desk, "anna")))
    return made.removeprefix("/f/")


def passes(door: Door) -> dict[str, dict[str, str]]:
    """What each role shows; a florist has nothing but her link, and tries it as a token."""
    tokens = {
        "owner": give_token(door.desk, DoorRole.OWNER),
        "hand": give_token(door.desk, DoorRole.HAND),
        "florist": link(door),
    }
    return {"nobody": {}, **{role: {"Authorization": f"Bearer {token}"} for role, token in tokens.items()}}


def is_turned_away(answer: httpx.Response) -> bool:
    """Whether a route did not let somebody in: a problem, a page with its sentence, or the way to the password."""
    if answer.status_code == 303:
        return answer.headers["location"].startswith("/login?to=")
    return answer.status_code == 403 and ("not-for-you" in answer.text or "log in, show a token" in answer.text)


def test_every_route_lets_in_exactly_the_roles_it_declares(locked: Door) -> None:
    shown, walked, wrong = passes(locked), 0, []
    for name, audience in audiences(locked.app.routes).items():
        *methods, path = name.split()
        if audience in (None, Audience.FLORIST, Audience.COUPLE) or path == "/logout":
            continue
        # Who may is asked before a path or a body is read: what no route reads tells without doing anything.
        asked = re.sub(r"\{[^}]*\}", "-", path)
        for role, headers in shown.items():
            answer = locked.ask(methods[0], asked, headers=headers, content=b"")
            walked += 1
            if is_turned_away(answer) is (role in LET_IN[audience]):
                wrong.append((name, role, answer.status_code))

    assert walked > 400
    assert wrong == []


def test_a_florists_routes_open_by_her_link_alone_whoever_asks(locked: Door) -> None:
    paths = [name.split() for name, audience in audiences(locked.app.routes).items() if audience is Audience.FLORIST]
    token = link(locked)

    assert len(paths) == 4
    for method, path in paths:
        for headers in passes(locked).values():
            answer = locked.ask(method, path.replace("{token}", "-"), headers=headers)
            assert answer.status_code == 403 and "not valid any more" in answer.text
        assert locked.ask(method, path.replace("{token}", token)).status_code in (200, 422)


def test_a_couples_page_opens_by_their_link_alone_and_a_florists_link_is_none(locked: Door) -> None:
    paths = [name.split() for name, audience in audiences(locked.app.routes).items() if audience is Audience.COUPLE]
    made = Links(SECRET, locked.desk.now)
    owner = {"Authorization": f"Bearer {give_token(locked.desk, DoorRole.OWNER)}"}
    asked = {"date": "2027-06-20", "lines": [{"product": "lagurus", "stems": 1}]}
    quote = locked.ask("POST", "/v1/quotes", json=asked, headers=owner).json()["id"]
    theirs = made.couple_path(quote, 0).removeprefix("/your-day/")

    assert len(paths) == 2
    for method, path in paths:
        for headers in passes(locked).values():
            for other in ("-", link(locked), made.couple_path("none", 0).removeprefix("/your-day/")):
                answer = locked.ask(method, path.replace("{token}", other), headers=headers)
                assert answer.status_code == 403 and "not valid any more" in answer.text
        assert locked.ask(method, path.replace("{token}", theirs)).status_code in (200, 422)
    assert locked.ask("GET", f"/f/{theirs}").status_code == 403


def test_a_farm_hand_is_told_nothing_of_money_and_addresses(locked: Door) -> None:
    hand = {"Authorization": f"Bearer {give_token(locked.desk, DoorRole.HAND)}"}
    open_to_hands = [
        name.partition(" ")[2]
        for name, audience in audiences(locked.app.routes).items()
        if audience is Audience.HAND and name.startswith("GET ") and "pdf" not in name
    ]

    assert len(open_to_hands) > 10
    for path in open_to_hands:
        asked = re.sub(r"\{[^}]*\}", "2027-06-14", path.replace("{place}", "cut"))
        answer = locked.ask("GET", asked, headers=hand)
        assert answer.status_code in (200, 303, 404), (path, answer.text)
        told = [word for word in ("anna@verhoeven.example", "price", "4.50", "450", "€") if word in answer.text]
        assert told == [], path


def test_a_farm_hand_begins_in_the_field_and_sees_no_way_to_what_is_the_owners(locked: Door) -> None:
    let_in = locked.ask("POST", "/login", data={"password": "early on bucket day"})
    assert let_in.headers["location"] == "/walk"

    page = locked.ask("GET", "/bucket/2027-06-14").text
    assert "Studio Anna Verhoeven" in page and "Confirm the list" not in page
    assert 'href="/quotes"' not in page and 'action="/logout"' in page
    locked.ask("POST", "/logout")
    assert locked.ask("GET", "/walk").status_code == 303

"""Passwords, passes and personal links: who comes in, as what, and until when."""

from __future__ import annotations

import threading
from contextlib import suppress
from datetime import timedelta
from typing import Any

import pytest

from haulm.jobs.farm.let_in import NotLetIn, end_tokens, give_token, log_in, set_password
from haulm.jobs.florists.florist_links import end_links, link_number
from haulm.store.words import DoorRole
from haulm.web.audience import Audience, audiences
from haulm.web.links import Holder, Links, PersonalLinkNotValid
from haulm.web.throttle import FREE_TRIES, Throttle, TooManyTries
from support.desks import NOW
from support.door import SECRET, Door
from support.known_farm import known_farm

PASSWORD, HANDS = "lagurus in the rain", "early on bucket day"


@pytest.fixture
def locked(door: Door) -> Door:
    """The door of a farm whose owner and hand have passwords."""
    set_password(door.desk, DoorRole.OWNER, PASSWORD)
    set_password(door.desk, DoorRole.HAND, HANDS)
    return door


def bearer(door: Door, role: DoorRole) -> dict[str, str]:
    """The header of a program with a token."""
    return {"Authorization": f"Bearer {give_token(door.desk, role)}"}


def logged_in(door: Door, password: str) -> dict[str, str]:
    """The cookie of a browser that logged in."""
    answer = door.ask("POST", "/login", data={"password": password, "to": "/short"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/short")
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie and "SameSite=lax" in cookie
    return {"Cookie": cookie.partition(";")[0]}


def test_once_the_owner_has_a_password_this_computer_is_nobody_special(locked: Door) -> None:
    assert locked.refused(403, "GET", "/v1/shortfalls")["type"] == "/problems/not-for-you"
    assert locked.ask("GET", "/v1/shortfalls", headers=bearer(locked, DoorRole.OWNER)).status_code == 200


def test_a_browser_that_may_not_is_asked_to_log_in_and_comes_back(locked: Door) -> None:
    answer = locked.ask("GET", "/short")
    assert (answer.status_code, answer.headers["location"]) == (303, "/login?to=/short")
    assert locked.ask("GET", "/short", headers=logged_in(locked, PASSWORD)).status_code == 200


@pytest.mark.parametrize("to", ["https://elsewhere.example", "//elsewhere.example", "/\\elsewhere.example", "short"])
def test_logging_in_leads_nowhere_else(locked: Door, to: str) -> None:
    answer = locked.ask("POST", "/login", data={"password": PASSWORD, "to": to})

    assert answer.headers["location"] == "/"


def test_a_new_password_puts_everybody_of_that_role_out(locked: Door) -> None:
    owner, hand = logged_in(locked, PASSWORD), logged_in(locked, HANDS)
    set_password(locked.desk, DoorRole.OWNER, "another one entirely")

    assert locked.ask("GET", "/v1/shortfalls", headers=owner).status_code == 403
    assert locked.ask("GET", "/v1/records", headers=hand).status_code == 200


def test_logging_out_ends_the_pass_itself(locked: Door) -> None:
    owner = logged_in(locked, PASSWORD)
    locked.ask("POST", "/logout", headers=owner)

    assert locked.ask("GET", "/v1/shortfalls", headers=owner).status_code == 403


@pytest.mark.parametrize("days", [15, 31])
def test_a_browser_that_was_away_too_long_logs_in_again(locked: Door, days: int) -> None:
    owner = logged_in(locked, PASSWORD)
    store = locked.desk.store
    token = owner["Cookie"].partition("=")[2]

    assert store.doors.role_of(token, NOW + timedelta(days=13)) is DoorRole.OWNER
    assert store.doors.role_of(token, NOW + timedelta(days=13 + days)) is None


def test_guessing_has_to_wait(locked: Door) -> None:
    tries = [locked.ask("POST", "/login", data={"password": "wrong"}).status_code for _ in range(7)]

    assert tries == [403] * 5 + [429] * 2
    assert locked.ask("POST", "/login", data={"password": PASSWORD}).status_code == 429
    throttle = locked.app.state.throttle
    with pytest.raises(TooManyTries, match=r"try again in \d+ seconds"):
        throttle.admit("127.0.0.1", locked.desk.now())
    throttle.admit("127.0.0.1", locked.desk.now() + timedelta(minutes=16))


def test_many_tries_at_the_same_time_are_many() -> None:
    throttle, let_through = Throttle(), []

    def attempt() -> None:
        with suppress(TooManyTries):
            throttle.admit("198.51.100.7", NOW)
            let_through.append(1)

    threads = [threading.Thread(target=attempt) for _ in range(30)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(let_through) == FREE_TRIES


def test_tokens_of_programs_can_be_ended_and_browsers_stay(locked: Door) -> None:
    token, cookie = bearer(locked, DoorRole.OWNER), logged_in(locked, PASSWORD)
    assert end_tokens(locked.desk, DoorRole.OWNER) == 1

    assert locked.ask("GET", "/v1/shortfalls", headers=token).status_code == 403
    assert locked.ask("GET", "/v1/shortfalls", headers=cookie).status_code == 200


def test_a_wrong_password_lets_nobody_in(locked: Door) -> None:
    with pytest.raises(NotLetIn, match="not known here"):
        log_in(locked.desk, "lagurus in the sun")


def test_a_short_password_is_refused_in_a_sentence(door: Door) -> None:
    with pytest.raises(ValueError, match="10 to 1000 characters"):
        raise ValueError(str(_refusal(lambda: set_password(door.desk, DoorRole.OWNER, "short"))))


def test_no_token_and_no_password_is_kept_as_it_is(locked: Door) -> None:
    token = give_token(locked.desk, DoorRole.OWNER)
    with locked.desk.store.doors._read() as connection:
        kept = [
            str(value)
            for table in ("passwords", "sessions")
            for row in connection.exec_driver_sql(f"SELECT * FROM {table}")
            for value in row
        ]

    assert kept and not any(token in value or PASSWORD in value for value in kept)


def test_every_route_lets_in_exactly_its_audience(locked: Door) -> None:
    """Each GET route with each role: 403 where the audience leaves the role out, and never where it does not."""
    shown: dict[str, dict[str, str]] = {
        "owner": bearer(locked, DoorRole.OWNER),
        "hand": bearer(locked, DoorRole.HAND),
        "nobody": {},
    }
    let_in = {Audience.OWNER: {"owner"}, Audience.HAND: {"owner", "hand"}, Audience.ANYBODY: set(shown)}
    walked = 0
    for name, audience in audiences(locked.app.routes).items():
        method, _, path = name.partition(" ")
        if method != "GET" or audience not in let_in or not path.startswith("/v1/"):
            continue
        for role, headers in shown.items():
            answer = locked.ask("GET", path.replace("{", "").replace("}", ""), headers=headers)
            is_out = answer.status_code == 403 and "not-for-you" in answer.text
            assert is_out == (role not in let_in[audience]), (name, role, answer.text)
            walked += 1
    assert walked > 60


def test_a_body_beyond_the_limit_is_not_read(door: Door) -> None:
    problem = door.refused(413, "POST", "/v1/records", content=b"[" + b"0," * (1 << 21))

    assert "at most" in problem["detail"]


class TestPersonalLinks:
    def links(self, door: Door, later: timedelta = timedelta()) -> Links:
        return Links(SECRET, lambda: door.desk.now() + later)

    def test_a_link_opens_for_one_florist_and_one_purpose(self, door: Door) -> None:
        links = self.links(door)
        token = links.florist_path(Holder("anna", 0)).removeprefix("/f/")

        assert links.florist(token) == Holder("anna", 0)
        _refusal(lambda: links.no_more_mail(token), PersonalLinkNotValid)

    @pytest.mark.parametrize("place", [0, 5, -1])
    def test_a_forged_link_opens_nothing(self, door: Door, place: int) -> None:
        token = self.links(door).florist_path(Holder("anna", 0)).removeprefix("/f/")
        letters = list(token)
        letters[place] = "A" if letters[place] != "A" else "B"
        forged = "".join(letters)
        if forged == token:
            pytest.fail("nothing was forged")

        with_other_secret = Links("another secret", door.desk.now)
        _refusal(lambda: with_other_secret.florist(token), PersonalLinkNotValid)
        if place != -1:  # the last letter of a base64 text may hold bits that count for nothing
            _refusal(lambda: self.links(door).florist(forged), PersonalLinkNotValid)

    def test_a_link_is_too_old_after_three_months(self, door: Door) -> None:
        token = self.links(door).florist_path(Holder("anna", 0)).removeprefix("/f/")

        assert self.links(door, timedelta(days=89)).florist(token).customer == "anna"
        _refusal(lambda: self.links(door, timedelta(days=91)).florist(token), PersonalLinkNotValid)

    def test_ending_the_links_of_one_florist_ends_hers_alone(self, door: Door) -> None:
        desk = door.desk
        with desk.store.unit_of_work(actor="owner", now=NOW) as work:
            end_links(work, "anna")
            work.save()

        assert link_number(desk, "anna") > 0 and link_number(desk, "bram") == 0


def _refusal(act: Any, kind: type[Exception] = Exception) -> Exception:
    with pytest.raises(kind) as caught:
        act()
    return caught.value


def test_the_farm_of_the_tests_has_both_florists() -> None:
    assert b"anna" in known_farm()["customers.csv"] and b"bram" in known_farm()["customers.csv"]

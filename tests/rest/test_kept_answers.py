"""What is kept as bytes is what would be worked out anew, for whoever asks, and only while nothing has changed."""

from __future__ import annotations

import asyncio
import random
import re
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import date, timedelta
from pathlib import Path

import httpx
import pytest
from fastapi import APIRouter, FastAPI, Request, Response

from haulm.jobs.farm.let_in import give_token, set_password
from haulm.pages.look import page
from haulm.rest.app import create_app
from haulm.rest.wire import TheDesk
from haulm.store.outbox import Letter
from haulm.store.words import DoorRole, LetterState
from haulm.web.audience import Audience, audiences, only_for
from haulm.web.kept import MOST_BYTES, Shelf, kept, kept_routes
from support.desks import desk_over, on, sqlite_store
from support.door import Door
from support.known_farm import PARTY, known_farm

ASKED = (
    "/v1/shortfalls",
    "/v1/shortfalls?confidence=0.9",
    "/v1/outlook",
    "/v1/match",
    "/v1/match?from=2027-06-18",
    "/v1/availability",
    "/v1/availability?weeks=2&product=lagurus",
    "/v1/walk",
    "/v1/cut-lists/2027-06-14",
    "/v1/store",
    "/v1/quotes",
    "/v1/fill-rate",
    "/",
    "/?said=saved",
    "/short",
    "/free",
    "/orders",
    "/orders/party/2027-06-18",
    "/plan",
    "/quotes",
    "/claims",
    "/season",
    "/honesty",
)
Headers = dict[str, str]


@pytest.fixture
def doors(tmp_path: Path) -> Iterator[tuple[Door, Door]]:
    """Two doors to the farm of known stems with Bram's orders: one keeps answers, and one has no room for them."""
    with ExitStack() as stack:
        store = sqlite_store(tmp_path)
        stack.callback(store.close)
        desk = desk_over(store, known_farm(**PARTY))
        keeps, anew = stack.enter_context(Door(desk)), stack.enter_context(Door(desk))
        anew.app.state.shelf = Shelf(0)
        yield keeps, anew


@pytest.fixture
def door(doors: tuple[Door, Door]) -> Door:
    """The door that keeps answers."""
    return doors[0]


def asked_of(app: FastAPI, path: str, times: int) -> list[httpx.Response]:
    """The answers of an application of the test's own, which has a route that no farm has."""
    transport = httpx.ASGITransport(app)

    async def asked() -> list[httpx.Response]:
        async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1") as client:
            return [await client.get(path) for _ in range(times)]

    return asyncio.run(asked())


def token(door: Door, role: DoorRole) -> Headers:
    """What a program of a role shows."""
    return {"Authorization": f"Bearer {give_token(door.desk, role)}"}


def locked(door: Door) -> tuple[Headers, Headers]:
    """What the owner and the farm hand show, once they have passwords."""
    set_password(door.desk, DoorRole.OWNER, "lagurus in the rain")
    set_password(door.desk, DoorRole.HAND, "early on bucket day")
    return token(door, DoorRole.OWNER), token(door, DoorRole.HAND)


def with_tag(answer: httpx.Response, headers: Headers | None = None) -> Headers:
    """Headers that ask whether an answer still holds."""
    return {**(headers or {}), "If-None-Match": answer.headers["etag"]}


def other_stems(door: Door, stems: int) -> None:
    """Anna's standing line asks for another number."""
    door.patch("/v1/standing-lines/anna-1", {"stems": stems})


EDITS: tuple[Callable[[Door, int, Headers], object], ...] = (
    lambda door, number, by: door.patch("/v1/standing-lines/anna-1", {"stems": 10 + number % 9}, **by),
    lambda door, number, by: door.patch("/v1/order-lines/party-1", {"stems": 5 + number % 9}, **by),
    lambda door, number, by: door.patch("/v1/customers/bram", {"name": f"Bram's corner {number}"}, **by),
    lambda door, number, by: door.patch("/v1/varieties/lagurus", {"name": f"Bunny tail {number}"}, **by),
    lambda door, number, by: door.post("/v1/known-stems", {**MORE, "key": f"n{number}", "stems": number}, **by),
    lambda door, number, by: door.post("/v1/records", {"kind": "frost", "date": "2027-06-13"}, **by),
    lambda door, number, by: on(door.desk, date(2027, 6, 14) + timedelta(days=number % 3)),
)
MORE = {"product": "nigella", "ready_date": "2027-06-21"}


def test_kept_answers_are_those_worked_out_anew_after_any_edits_on_any_day_for_anybody(
    doors: tuple[Door, Door],
) -> None:
    keeps, anew = doors
    owner, hand = locked(keeps)
    drawn, given = random.Random(7), 0
    for number in range(1, 40):
        if drawn.random() < 0.4:
            drawn.choice(EDITS)(keeps, number, owner)
        for path in drawn.sample(ASKED, 6):
            by = drawn.choice((owner, owner, hand, {"Authorization": "Bearer nobody's"}))
            first, again = (keeps.ask("GET", path, headers=by) for _ in range(2))
            fresh = anew.ask("GET", path, headers=by)

            assert (first.status_code, first.content) == (fresh.status_code, fresh.content), path
            assert (again.status_code, again.content, again.headers) == (200, first.content, first.headers) or (
                first.status_code != 200 and again.status_code == first.status_code
            )
            if first.status_code == 200:
                given += 1
                assert keeps.ask("GET", path, headers=with_tag(first, by)).status_code == 304
    assert given > 100


def test_an_answer_is_not_changed_where_its_bytes_are_the_same_and_not_otherwise(door: Door) -> None:
    before = door.ask("GET", "/v1/match")
    other_stems(door, 26)
    after = door.ask("GET", "/v1/match", headers=with_tag(before))
    assert after.status_code == 200 and after.headers["etag"] != before.headers["etag"]

    door.patch("/v1/customers/anna", {"name": "Studio Anna"})  # the match names nobody
    unchanged = door.ask("GET", "/v1/match", headers=with_tag(after))
    assert (unchanged.status_code, unchanged.content) == (304, b"")
    assert unchanged.headers["etag"] == after.headers["etag"]
    for tag, status in (("*", 304), ('"other", W/' + after.headers["etag"], 304), ('"other"', 200), ("", 200)):
        assert door.ask("GET", "/v1/match", headers={"If-None-Match": tag}).status_code == status


def test_another_day_is_another_answer(door: Door) -> None:
    before = door.ask("GET", "/")
    assert "14 Jun" in before.text
    on(door.desk, date(2027, 6, 15))

    after = door.ask("GET", "/", headers=with_tag(before))
    assert after.status_code == 200 and "15 Jun" in after.text


def test_nobody_is_given_what_was_kept_for_another(door: Door) -> None:
    owner, hand = locked(door)
    page = door.ask("GET", "/orders", headers=owner)
    walk = door.ask("GET", "/v1/walk", headers=owner)
    assert page.status_code == walk.status_code == 200

    assert door.ask("GET", "/orders", headers=with_tag(page, hand)).status_code == 403
    assert door.ask("GET", "/orders", headers=with_tag(page)).status_code == 303
    assert door.ask("GET", "/v1/walk", headers=with_tag(walk, hand)).status_code == 304
    assert door.ask("GET", "/v1/walk", headers=with_tag(walk)).status_code == 403
    assert door.ask("GET", "/orders", headers=with_tag(page, owner)).status_code == 304
    elsewhere = door.ask("GET", "/orders", headers={**with_tag(page, owner), "Host": "elsewhere.example"})
    assert elsewhere.status_code == 421


def test_whoever_logs_out_or_whose_pass_is_over_gets_nothing_more(door: Door) -> None:
    owner, _ = locked(door)
    door.ask("POST", "/login", data={"password": "lagurus in the rain"})
    page = door.ask("GET", "/orders")
    assert page.status_code == 200
    door.ask("POST", "/logout")
    assert door.ask("GET", "/orders", headers=with_tag(page)).status_code == 303

    assert door.ask("GET", "/orders", headers=with_tag(page, owner)).status_code == 304
    set_password(door.desk, DoorRole.OWNER, "another in the rain")
    assert door.ask("GET", "/orders", headers=with_tag(page, owner)).status_code == 303


def test_what_an_answer_rests_on_beside_the_farm_is_looked_at_too(door: Door) -> None:
    with door.desk.store.unit_of_work(actor="test", now=door.desk.now()) as work:
        work.send(Letter("list-confirmed", "anna", {}, "one"))
        work.save()
    before = door.ask("GET", "/")
    assert door.ask("GET", "/", headers=with_tag(before)).status_code == 304
    version = door.desk.store.version()
    (claimed,) = door.desk.store.outbox.claim("worker", door.desk.now(), 1)
    door.desk.store.outbox.bounced("worker", claimed.number, "550 nobody here")

    after = door.ask("GET", "/", headers=with_tag(before))
    assert door.desk.store.version() == version
    assert door.desk.store.outbox.states() == (LetterState.BOUNCED,)
    assert after.status_code == 200 and "1 mail came back" in after.text


def test_no_two_visits_are_given_the_same_key_of_a_form(door: Door) -> None:
    router, seen = APIRouter(dependencies=[only_for(Audience.OWNER), kept()]), 0

    @router.get("/declared")
    def declared(request: Request) -> Response:
        return page(request, "quote_new.html", pieces=[], customers=[], homes={})

    answers = asked_of(create_app(door.desk, more=(router,)), "/declared", 2)
    keys = [re.findall('name="once" value="([^"]+)"', answer.text) for answer in answers]
    assert all(keys) and keys[0] != keys[1]
    assert all("etag" not in answer.headers for answer in answers)
    for name in audiences(door.app.routes):
        path = name.removeprefix("GET ")
        if name.startswith("GET /") and not path.startswith("/v1") and "{" not in path:
            first, again = (set(re.findall('name="once" value="([^"]+)"', door.ask("GET", path).text)) for _ in "12")
            assert not first & again, path
            seen += bool(first)
    assert seen >= 3


def test_an_answer_during_which_something_was_written_is_given_and_not_kept(door: Door) -> None:
    router = APIRouter(dependencies=[only_for(Audience.OWNER), kept()])
    counts = iter(range(9))

    @router.get("/counted")
    def counted(desk: TheDesk) -> int:
        if (count := next(counts)) == 0:
            with desk.store.unit_of_work(actor="test", now=desk.now()) as work:
                work.enter("something", "farm")
                work.save()
        return count

    answers = asked_of(create_app(door.desk, more=(router,)), "/counted", 4)
    assert [answer.json() for answer in answers] == [0, 1, 1, 1]


def test_an_answer_from_between_two_changes_that_cancel_out_is_not_kept(door: Door) -> None:
    weather, seen = ["dry"], iter(("wet", "dry", "dry"))
    router = APIRouter(dependencies=[only_for(Audience.OWNER), kept(also=lambda _: weather[0])])

    @router.get("/weather")
    def told() -> str:
        weather[0] = next(seen)
        return weather[0]

    app = create_app(door.desk, more=(router,))
    (between,) = asked_of(app, "/weather", 1)
    weather[0] = "dry"
    after = asked_of(app, "/weather", 2)
    assert [answer.json() for answer in (between, *after)] == ["wet", "dry", "dry"]


def test_the_shelf_stays_within_its_bound_and_forgets_what_was_not_asked_for_longest(door: Door) -> None:
    shelf = door.app.state.shelf = Shelf(60_000)
    for weeks in range(1, 105):
        assert door.ask("GET", f"/v1/availability?weeks={weeks}").status_code == 200
        assert door.ask("GET", "/v1/match").status_code == 200
        assert 0 < shelf.bytes <= 60_000

    assert shelf.at(("/v1/match", b"")) is not None
    assert shelf.at(("/v1/availability", b"weeks=104")) is not None
    assert shelf.at(("/v1/availability", b"weeks=1")) is None
    assert Shelf()._most == MOST_BYTES


def test_nothing_of_an_earlier_version_stays_on_the_shelf(door: Door) -> None:
    assert "Bram&#39;s corner" in door.ask("GET", "/orders").text
    with door.desk.store.unit_of_work(actor="test", now=door.desk.now()) as work:
        work.erase_person("bram")
        work.save()
    assert door.app.state.shelf.at(("/orders", b"")) is not None
    door.ask("GET", "/v1/match")

    assert door.app.state.shelf.at(("/orders", b"")) is None
    assert door.app.state.shelf.at(("/v1/match", b"")) is not None


def test_only_answers_of_the_farms_own_people_are_kept(door: Door) -> None:
    declared = audiences(door.app.routes)
    routes = kept_routes(door.app.routes)

    assert len(routes) > 25
    assert {declared[name] for name in routes} == {Audience.OWNER, Audience.HAND}
    assert all(name.startswith("GET ") for name in routes)

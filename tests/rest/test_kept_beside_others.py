"""Kept answers on each engine while others work on the same database; what is looked up for them, and by whom."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event

from haulm.jobs.farm.let_in import give_token, set_password
from haulm.opening import clock, utc_now
from haulm.settings import Settings
from haulm.store.doors import IDLE_DAYS
from haulm.store.store import Store
from haulm.store.words import DoorRole, PassKind
from haulm.web import kept
from support.desks import NOW, desk_over, on, sqlite_store
from support.door import Door
from support.known_farm import PARTY, known_farm
from support.other_process import elsewhere, end_pass, erase_person, restore

PAGES = ("/orders", "/", "/v1/match")
NAME = "Bram&#39;s corner"


@dataclass(frozen=True)
class Place:
    """A door that keeps answers, and the address of its database."""

    door: Door
    url: str

    @property
    def store(self) -> Store:
        return self.door.desk.store


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Place]:
    """A door to the farm of known stems with Bram's orders, on each engine."""
    if request.param == "sqlite":
        url, store = f"sqlite:///{tmp_path / 'farm.db'}", sqlite_store(tmp_path)
    else:
        url = request.getfixturevalue("postgres_url")
        store = Store.open(url)
    with ExitStack() as stack:
        stack.callback(store.close)
        yield Place(stack.enter_context(Door(desk_over(store, known_farm(**PARTY)))), url)


@pytest.fixture
def on_file(tmp_path: Path) -> Iterator[Place]:
    """The same on SQLite alone."""
    with ExitStack() as stack:
        store = sqlite_store(tmp_path)
        stack.callback(store.close)
        desk = desk_over(store, known_farm(**PARTY))
        yield Place(stack.enter_context(Door(desk)), f"sqlite:///{tmp_path / 'farm.db'}")


@pytest.fixture
def sent_to_threads(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names of what kept answers had a thread look up."""
    sent: list[str] = []
    usual = kept.run_in_threadpool

    async def noted(work: Callable[..., Any], *given: Any) -> Any:
        sent.append(work.__name__)
        return await usual(work, *given)

    monkeypatch.setattr(kept, "run_in_threadpool", noted)
    return sent


def held(door: Door, path: str, headers: dict[str, str] | None = None) -> str:
    """A page that is kept: it is asked until it comes from the shelf."""
    answers = [door.ask("GET", path, headers=headers) for _ in range(3)]
    assert [answer.status_code for answer in answers] == [200] * 3
    tag = {"If-None-Match": answers[0].headers["etag"]}
    assert door.ask("GET", path, headers={**(headers or {}), **tag}).status_code == 304
    return answers[0].text


def test_what_another_process_writes_is_in_the_next_answer(place: Place) -> None:
    before = {path: held(place.door, path) for path in PAGES}
    assert NAME in before["/orders"]
    version = place.store.version()

    elsewhere(erase_person, place.url, "bram")

    assert place.store.version() == version + 1
    after = place.door.ask("GET", "/orders")
    assert after.status_code == 200 and NAME not in after.text and after.text != before["/orders"]


def test_a_pass_that_another_process_ends_opens_nothing_from_then_on(place: Place) -> None:
    set_password(place.door.desk, DoorRole.OWNER, "lagurus in the rain")
    token, other = (give_token(place.door.desk, DoorRole.OWNER) for _ in range(2))
    shown, by_other = ({"Authorization": f"Bearer {one}"} for one in (token, other))
    held(place.door, "/v1/match", shown)

    elsewhere(end_pass, place.url, token)

    assert place.door.ask("GET", "/v1/match", headers=shown).status_code == 403
    assert place.door.ask("GET", "/v1/match", headers=by_other).status_code == 200
    assert place.door.ask("GET", "/v1/match").status_code == 403


def test_a_kept_answer_on_sqlite_needs_no_thread_and_no_connection_of_the_pool_on_the_real_date_too(
    on_file: Place, tmp_path: Path, sent_to_threads: list[str]
) -> None:
    asked: list[str] = []
    token = {"Authorization": f"Bearer {on_file.store.doors.make_pass(DoorRole.OWNER, PassKind.PROGRAM, utc_now())}"}
    settings = Settings(database_url="", data_dir=tmp_path)
    with Door(replace(on_file.door.desk, today=clock(on_file.store, settings), now=utc_now)) as real:
        for path in PAGES:
            held(real, path, token)
        sent_to_threads.clear()
        event.listen(on_file.store._engine, "before_cursor_execute", lambda *given: asked.append(given[2]))
        for path in PAGES:
            assert real.ask("GET", path, headers=token).status_code == 200

    assert (asked, sent_to_threads) == ([], [])


@pytest.mark.postgres
def test_a_kept_answer_on_postgresql_costs_the_database_one_statement(
    postgres_url: str, sent_to_threads: list[str]
) -> None:
    asked: list[str] = []
    with closing(Store.open(postgres_url)) as store, Door(desk_over(store, known_farm(**PARTY))) as door:
        held(door, "/v1/match")
        sent_to_threads.clear()
        event.listen(store._engine, "before_cursor_execute", lambda *given: asked.append(given[2]))
        assert door.ask("GET", "/v1/match").status_code == 200

    assert [statement.split()[0] for statement in asked] == ["SELECT"]
    assert sent_to_threads == ["_looked_up"]


def test_what_lies_beside_the_farm_is_looked_up_once_after_anything_was_written(
    on_file: Place, sent_to_threads: list[str]
) -> None:
    held(on_file.door, "/")
    sent_to_threads.clear()
    on_file.store.outbox.note_done("a job", "a day", NOW)

    pages = {on_file.door.ask("GET", "/").text for _ in range(4)}
    assert len(pages) == 1
    assert sent_to_threads == ["_looked_up"]


@pytest.mark.parametrize("by", ["itself", "another process"])
def test_a_backup_that_is_put_in_place_while_it_is_served_is_what_is_answered(
    on_file: Place, tmp_path: Path, by: str
) -> None:
    backup = tmp_path / "backup.db"
    named = held(on_file.door, "/orders")
    on_file.store.backup(backup)
    elsewhere(erase_person, on_file.url, "bram")
    nameless = held(on_file.door, "/orders")
    assert NAME in named and NAME not in nameless

    if by == "itself":
        version = on_file.store.restore(backup, actor="test", now=NOW)
    else:
        version = elsewhere(restore, on_file.url, backup)

    assert on_file.store.version() == version
    assert held(on_file.door, "/orders") == named


def test_a_pass_is_noted_as_used_though_its_answers_are_kept(on_file: Place) -> None:
    moments = [NOW]
    set_password(on_file.door.desk, DoorRole.OWNER, "lagurus in the rain")
    token = {"Authorization": f"Bearer {on_file.store.doors.make_pass(DoorRole.OWNER, PassKind.BROWSER, NOW)}"}
    with Door(replace(on_file.door.desk, now=lambda: moments[0])) as door:
        held(door, "/orders", token)
        for _ in range(2):  # a browser's pass would be over after two weeks without use
            moments[0] += timedelta(days=IDLE_DAYS - 1)
            held(door, "/orders", token)
        moments[0] += timedelta(days=IDLE_DAYS)
        assert door.ask("GET", "/orders", headers=token).status_code == 303


def test_a_new_day_ends_what_is_kept_of_the_day_before(place: Place) -> None:
    before = held(place.door, "/")
    on(place.door.desk, date(2027, 6, 15))
    after = held(place.door, "/")
    assert "14 Jun" in before and before != after and "15 Jun" in after

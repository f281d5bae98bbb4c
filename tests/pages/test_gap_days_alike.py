"""A gap's days are one table for list, page, today, letter, calendar, client and REST, before and after looking."""

from __future__ import annotations

import re
import sqlite3
from argparse import Namespace
from collections.abc import Iterator
from contextlib import closing
from datetime import date, datetime, timedelta
from functools import cache
from html import unescape
from importlib import resources
from typing import Any

import pytest
from icalendar import Calendar

from haulm.advice.asked_words import asked_in_words
from haulm.farm.weeks import day_in_words, near_day_in_words
from haulm.jobs.gaps.follow_gaps import work_out_gaps
from haulm.jobs.gaps.follow_jobs import work_out_jobs
from haulm.jobs.gaps.list_jobs import gap_jobs, work_due
from haulm.jobs.gaps.standing_gaps import dated_gaps
from haulm.jobs.warning.send_digest import digest_facts
from haulm.jobs.warning.warn_early import warn_early
from haulm_cli.commands.shortfalls import COMMAND
from haulm_cli.tables import Screen
from support import scale
from support.desks import desk_over, sqlite_store
from support.door import Door

DAYS = (date(2027, 3, 15), date(2027, 5, 1), date(2027, 7, 12))[:: scale.count(usual=2, large=1)]
Table = dict[str, str]
"""The day to act of each gap that a place shows, in words."""


@cache
def demo_files() -> dict[str, bytes]:
    """The folder of the demo farm."""
    folder = resources.files("haulm.demo_farm").joinpath("folder")
    return {one.name: one.read_bytes() for one in folder.iterdir() if one.is_file()}


@pytest.fixture(scope="module", params=DAYS, ids=str)
def demo(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Door]:
    """The door to the demo farm on a day, with seasons enough for every sort of option; worked out once a day."""
    with (
        closing(sqlite_store(tmp_path_factory.mktemp("demo"))) as store,
        Door(desk_over(store, demo_files(), today=request.param, seasons=100)) as door,
    ):
        yield door


def in_words(day: str) -> str:
    return day_in_words(date.fromisoformat(day))


def by_rest(door: Door) -> Table:
    found = door.get("/v1/shortfalls")
    for short in found["shortfalls"]:
        assert short["decide_by"] == next(g["decide_by"] for g in found["gaps"] if g["gap"] == short["gap"])
    return {gap["gap"]: in_words(gap["decide_by"]) for gap in found["gaps"]}


def by_list(door: Door) -> Table:
    rows: Table = {}
    for part in range(1, 9):
        page = door.ask("GET", f"/short?part={part}").text.partition("Every gap")[2]
        rows.update(re.findall(r'href="/short/([^"]+)".*?Decide by <strong>([^<]+)<', page, re.DOTALL))
    return rows


def by_page(door: Door) -> Table:
    found = {}
    for gap in by_rest(door):
        said = re.search(r"Day to decide: ([^.]+)\.", door.ask("GET", f"/short/{gap}").text)
        assert said is not None
        found[gap] = said[1]
    return found


def by_today(door: Door) -> Table:
    page = door.ask("GET", "/").text
    rows = re.findall(r'href="/short/([^"]+)".*?Decide by <strong>([^<]+)<', page, re.DOTALL)
    assert rows
    return dict(rows)


def by_letter(door: Door) -> Table:
    facts = digest_facts(warn_early(door.desk))
    told = {gap["gap"]: in_words(gap["decide_by"]) for gap in facts["gaps"]}
    assert told and told == {gap["gap"]: in_words(gap["decide_by"]) for gap in door.get("/v1/digest")["gaps"]}
    return told


def by_calendar(door: Door, path: str) -> Table:
    found = {}
    for event in Calendar.from_ical(door.ask("GET", path).text).walk("VEVENT"):
        uid = str(event["UID"])
        if uid.startswith("decide-"):
            found[uid.removeprefix("decide-").partition("@")[0]] = day_in_words(event["DTSTART"].dt)
    return found


def by_client(door: Door) -> Table:
    shown = "\n".join(COMMAND.show(door.get("/v1/shortfalls"), Namespace(confidence=None), Screen()))
    return {gap: in_words(day) for day, gap in re.findall(r"Decide by (\S+): gap (\S+)", shown)}


def said_in(text: str) -> str:
    """A page or a letter as it is read: without marks, in one line."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", text)).split())


def test_days_and_sentences_of_jobs_are_the_same_in_every_place(demo: Door) -> None:
    path = demo.post("/v1/calendar-link")["path"]
    work_out_jobs(demo.desk)
    rows = whole_database(demo)

    found = demo.get("/v1/jobs")
    jobs = [(in_words(job["date"]), job["sentence"], job["gap"]) for job in found["jobs"]]
    assert len(jobs) > 5
    days = by_rest(demo)
    assert all(days[gap] == day for day, _, gap in jobs)
    assert sorted(name for job in found["jobs"] for name in job["closes"]) == sorted(days)

    short, today = said_in(demo.ask("GET", "/short?jobs=all").text), said_in(demo.ask("GET", "/").text)
    card = "{} (?:(?!Decide by).)*Decide by {}"  # what to mind of the kind stands between them
    assert all(re.search(card.format(re.escape(sentence), day), short) for day, sentence, _ in jobs)
    assert all(re.search(card.format(re.escape(sentence), day), today) for day, sentence, _ in jobs[:5])
    feed = {str(e["UID"]).partition("@")[0]: e for e in Calendar.from_ical(demo.ask("GET", path).text).walk("VEVENT")}
    for day, sentence, gap in jobs:
        event = feed[f"decide-{gap}"]
        assert (f"{event['SUMMARY']}.", day_in_words(event["DTSTART"].dt)) == (sentence, day)

    assert all(work["sentence"] in today for work in found["work"])
    assert whole_database(demo) == rows


def test_the_few_words_of_the_letter_have_the_days_of_the_jobs(demo: Door) -> None:
    work_out_jobs(demo.desk)
    body, plan = warn_early(demo.desk).body, demo.desk.plan()
    letter = " ".join(one.text for one in body.paragraphs)
    standing = dated_gaps(demo.desk, plan)
    names = {found.gap.key: asked_in_words(found.gap.asked, plan.crops) for found in standing}

    told = 0
    for job in gap_jobs(demo.desk, plan, standing):
        assert job.short.day == job.day
        assert names[job.gap.gap.key] in f"{job.short.what} {job.short.does}"
        before, is_told, _ = letter.partition(job.short.what)
        if is_told:
            told += 1
            assert re.findall(r"[Bb]y (\w{3} \d+ \w{3})", before)[-1] == near_day_in_words(job.day)
    assert told
    for due in work_due(demo.desk, plan):
        days = [one.text for one in body.paragraphs if one.text.startswith(f"{near_day_in_words(due.day)}: ")]
        assert due.short is None or any(due.what in text or due.short.sort in text for text in days)


def tables(door: Door, calendar: str) -> dict[str, Table]:
    return {
        "rest": by_rest(door), "list": by_list(door), "page": by_page(door), "today": by_today(door),
        "letter": by_letter(door), "calendar": by_calendar(door, calendar), "client": by_client(door),
    }  # fmt: skip


def whole_database(door: Door) -> list[str]:
    """Every row of every table, as statements."""
    path = str(door.desk.store._url.database)
    with closing(sqlite3.connect(path)) as connection:
        return list(connection.iterdump())


def look_at_everything(door: Door) -> None:
    """Open each page and ask each question that shows a gap, at levels asked too."""
    for gap in door.get("/v1/shortfalls")["gaps"]:
        door.ask("GET", f"/short/{gap['gap']}")
        door.get(f"/v1/gaps/{gap['gap']}/options")
    for level in (0.6, 0.9):
        door.get("/v1/shortfalls", confidence=level)
    for path in ("/", "/short", "/plan", "/free", "/orders", "/quotes"):
        assert door.ask("GET", path).status_code == 200
    door.get("/v1/digest")


def test_days_are_one_table_and_no_look_changes_it_or_writes_anything(demo: Door) -> None:
    path = demo.post("/v1/calendar-link")["path"]
    work_out_jobs(demo.desk)
    rows = whole_database(demo)
    first = tables(demo, path)
    whole = first["rest"]
    assert len(whole) > 5 and first["list"] == first["page"] == first["client"] == first["calendar"] == whole
    for part in (first["today"], first["letter"]):
        assert part.items() <= whole.items()

    look_at_everything(demo)
    assert tables(demo, path) == first
    assert whole_database(demo) == rows


def test_a_look_before_anything_is_worked_out_changes_no_day_that_is(growing: Door) -> None:
    def asked() -> list[Any]:
        return [(gap["gap"], gap["decide_by"], gap["pending"]) for gap in growing.get("/v1/shortfalls")["gaps"]]

    before, rows = asked(), whole_database(growing)
    look_at_everything(growing)
    assert asked() == before == [(before[0][0], None, True)]
    assert whole_database(growing) == rows
    assert "still being worked out" in growing.ask("GET", "/short").text

    work_out_gaps(growing.desk)
    ((_, day, is_pending),) = asked()
    assert day is not None and not is_pending
    assert in_words(day) in growing.ask("GET", "/short").text
    assert in_words(day) in growing.ask("GET", "/").text


def test_what_is_pending_shows_the_last_day_and_since_when_it_stands(growing: Door) -> None:
    work_out_gaps(growing.desk)
    (gap,) = growing.get("/v1/shortfalls")["gaps"]
    growing.patch("/v1/standing-lines/anna-1", {"stems": 45})

    (pending,) = growing.get("/v1/shortfalls")["gaps"]
    assert pending["pending"] and (pending["decide_by"], pending["as_of"]) == (gap["decide_by"], gap["as_of"])
    at = datetime.fromisoformat(gap["as_of"]) + timedelta(hours=2)
    assert f"{in_words(gap['decide_by'])}, as of {at:%H:%M}" in growing.ask("GET", "/short").text

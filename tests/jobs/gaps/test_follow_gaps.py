"""Gaps are followed after every version, a step at a time, by one worker; where it was cut off the next goes on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, change_row
from haulm.jobs.gaps.beyond_words import beyond_words
from haulm.jobs.gaps.close_gap import gap_options, list_shortfalls
from haulm.jobs.gaps.follow_gaps import LEASE, QUIET, Step, follow_gaps, is_worked_out, work_out_gaps
from haulm.jobs.gaps.follow_jobs import are_jobs_worked_out, work_out_jobs
from haulm.jobs.gaps.kept_options import options_kept, recommended_kept
from haulm.jobs.gaps.list_jobs import list_jobs
from haulm.jobs.gaps.standing_gaps import NOT_YET, act_by_words
from haulm.jobs.warning.send_digest import send_digest
from haulm.planning.across_gaps import beyond, clash
from haulm.planning.remedies import days_of, recommended_of, remedies
from haulm.store.gap_book import JOB
from support.desks import MONDAY, NOW, on
from support.known_farm import growing_farm
from support.other_process import elsewhere, gaps_followed

OpenDesk = Callable[[dict[str, bytes]], Desk]


def three_gaps() -> dict[str, bytes]:
    """The farm that grows too little, with gaps of two weeks, three weeks and one."""
    files = growing_farm()
    files["standing_orders.csv"] = (
        b"key,customer,weekday,first_week,last_week,committed_on\n"
        b"a,anna,tue,2027-W30,2027-W31,2027-01-10\n"
        b"b,anna,tue,2027-W34,2027-W36,2027-01-10\n"
        b"c,anna,tue,2027-W39,2027-W39,2027-01-10\n"
    )
    files["standing_lines.csv"] = b"key,order,stems,product\na1,a,40,lagurus\nb1,b,40,lagurus\nc1,c,40,lagurus\n"
    return files


@pytest.fixture
def desk(open_desk: OpenDesk) -> Desk:
    return at(open_desk(three_gaps()), NOW + timedelta(minutes=1))


def at(desk: Desk, now: datetime) -> Desk:
    """The same desk at another moment."""
    return replace(desk, now=lambda: now)


def later(desk: Desk, seconds: float) -> Desk:
    return at(desk, desk.now() + timedelta(seconds=seconds))


def stems_asked(desk: Desk, line: str, stems: int) -> None:
    with desk.store.unit_of_work(actor="owner", now=desk.now()) as work:
        change_row(desk, work, line, RowAsked("standing_lines", {"stems": stems}), expected=None)
        work.save()


def pending(desk: Desk) -> list[bool]:
    return [one.is_pending for one in list_shortfalls(desk)]


def test_before_anything_is_worked_out_gaps_have_names_and_no_days(desk: Desk) -> None:
    found = list_shortfalls(desk)
    assert [one.gap.key for one in found] == ["lagurus-2027-W30", "lagurus-2027-W34", "lagurus-2027-W39"]
    assert {(one.days, one.decide_by, one.is_pending) for one in found} == {(None, None, True)}
    assert act_by_words(found[0], MONDAY, "UTC") == NOT_YET


def test_a_step_writes_names_and_each_after_it_the_days_of_one_gap(desk: Desk) -> None:
    steps = [follow_gaps(desk, "worker") for _ in range(5)]
    assert steps == [Step.MORE, Step.MORE, Step.MORE, Step.DONE, Step.DONE]

    plan = desk.plan()
    found = list_shortfalls(desk)
    assert {one.days for one in found} == {days_of(plan, one.plain) for one in found}
    assert {options_kept(desk, one) for one in found} == {remedies(plan, one.plain) for one in found}
    assert all(recommended_kept(desk, one) == recommended_of(plan, one.plain, None) for one in found)
    assert pending(desk) == [False] * 3 and is_worked_out(desk)
    assert [one.decide_by for one in found] == sorted(one.decide_by or date.max for one in found)


def test_the_days_are_never_taken_from_what_is_remembered_because_somebody_looked(desk: Desk) -> None:
    for one in list_shortfalls(desk):
        found = gap_options(desk, one.gap.key)
        assert (found.ways, found.options, found.is_pending) == (None, (), True)
        assert gap_options(desk, one.gap.key, 0.9).options
    assert {one.days for one in list_shortfalls(desk)} == {None}


def test_with_the_ways_is_kept_what_the_recommended_one_does_beyond_its_gap(desk: Desk) -> None:
    work_out_gaps(desk)
    plan = desk.plan()
    found = list_shortfalls(desk)
    names = {one.plain.key: one.gap.key for one in found}
    said = 0
    for one in found:
        ways = gap_options(desk, one.gap.key)
        assert ways.ways is not None
        if not ways.ways.recommended.batches:
            assert ways.ways.effects is None and beyond_words(desk, plan, ways) == ()
            continue
        truth = beyond(plan, one.plain, ways.ways.recommended.batches)
        effects = ways.ways.effects
        assert effects is not None
        assert effects.also_closes == tuple(names[gap.key] for gap in truth.also_close)
        assert [(less.line, less.due) for less in effects.less_sure] == [
            (x.line.line, x.line.due) for x in truth.lowered
        ]
        said += len(beyond_words(desk, plan, ways))
    assert said


def test_what_has_no_room_beside_another_recommended_way_is_named(open_desk: OpenDesk) -> None:
    files = three_gaps()
    files["beds.csv"] = b"key,name,metres,width_cm\nsouth,The only bed,4,75\n"
    desk = at(open_desk(files), NOW + timedelta(minutes=1))
    work_out_gaps(desk)
    plan, kept = desk.plan(), desk.store.gap_book.recommended()
    clashes = {
        (one, other) for one in kept for other in kept
        if one != other and kept[one].batches and kept[other].batches and clash(plan, kept[one], kept[other])
    }  # fmt: skip
    assert clashes
    for name in kept:
        said = "".join(one for one in beyond_words(desk, plan, gap_options(desk, name)) if "no room beside it" in one)
        count = sum(one == name for one, _ in clashes)
        assert bool(said) == bool(count) and said.count("(The only bed is full)") == count


def test_nothing_is_begun_within_three_seconds_of_a_write(desk: Desk) -> None:
    just_after = at(desk, NOW + QUIET - timedelta(milliseconds=1))
    assert follow_gaps(just_after, "worker") is Step.LATER
    assert desk.store.gap_book.followed() is None
    assert follow_gaps(at(desk, NOW + QUIET), "worker") is Step.MORE

    stems_asked(desk, "a1", 50)
    assert follow_gaps(later(desk, 2), "worker") is Step.LATER
    stems_asked(later(desk, 2), "a1", 60)
    assert follow_gaps(later(desk, 4), "worker") is Step.LATER
    assert follow_gaps(later(desk, 5), "worker") is Step.MORE


def test_while_days_are_worked_out_anew_the_last_ones_stand_and_say_as_of_when(desk: Desk) -> None:
    work_out_gaps(desk)
    before = {one.gap.key: one.days for one in list_shortfalls(desk)}
    ways = [gap_options(desk, name) for name in before]
    assert not any(one.is_pending for one in ways)
    stems_asked(later(desk, 60), "c1", 200)

    found = list_shortfalls(desk)
    assert {one.gap.key: one.days for one in found} == before and pending(desk) == [True] * 3
    assert [gap_options(desk, one.gap.gap.key).ways for one in ways] == [one.ways for one in ways]
    assert all(gap_options(desk, one).is_pending for one in before)
    assert act_by_words(found[0], MONDAY, "Europe/Amsterdam").endswith("2027, as of 08:31")
    assert act_by_words(found[0], MONDAY + timedelta(days=2), "UTC").endswith("as of Mon 14 Jun 2027, 06:31")
    work_out_gaps(later(desk, 120))
    assert pending(desk) == [False] * 3


def test_a_letter_that_was_sent_makes_no_gap_pending(desk: Desk) -> None:
    work_out_jobs(desk)
    version, writes = desk.store.version(), desk.store.gaps_written()
    send_digest(desk, "owner")
    assert desk.store.version() > version

    assert pending(desk) == [False] * 3 and is_worked_out(desk) and are_jobs_worked_out(desk)
    assert follow_gaps(later(desk, 60), "worker") is Step.DONE
    assert [job.act_by for job in list_jobs(desk).gap_jobs if "as of" in job.act_by] == []
    assert desk.store.gaps_written() == writes

    stems_asked(desk, "a1", 50)
    assert any(pending(desk)) and not is_worked_out(desk)


def test_where_a_worker_was_cut_off_the_next_goes_on_and_does_nothing_twice(desk: Desk) -> None:
    follow_gaps(desk, "cut off")
    follow_gaps(desk, "cut off")
    done = [one for one in list_shortfalls(desk) if not one.is_pending]
    assert len(done) == 1

    assert follow_gaps(later(desk, 10), "next") is Step.LATER
    after = later(desk, LEASE.total_seconds())
    assert [follow_gaps(after, "next") for _ in range(2)] == [Step.MORE, Step.DONE]
    assert pending(desk) == [False] * 3
    assert next(one.as_of for one in list_shortfalls(desk) if one.gap.key == done[0].gap.key) == done[0].as_of


def test_of_two_processes_one_is_at_work_and_the_other_takes_over_when_it_is_gone(desk: Desk, tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path}/farm.db"
    assert follow_gaps(desk, "this process") is Step.MORE
    assert elsewhere(gaps_followed, url, desk.now()) is Step.LATER
    assert elsewhere(gaps_followed, url, later(desk, 61).now()) is Step.MORE
    assert not desk.store.leases.take(JOB, "this process", later(desk, 62).now(), LEASE)
    assert follow_gaps(later(desk, 62), "this process") is Step.LATER
    assert pending(desk).count(False) == 1


def test_a_version_made_while_days_are_worked_out_is_seen_by_the_next_step(desk: Desk) -> None:
    follow_gaps(desk, "worker")
    stems_asked(desk, "b1", 80)
    assert follow_gaps(later(desk, 4), "worker") is Step.MORE
    followed = desk.store.gap_book.followed()
    assert followed is not None and followed.basis.version == desk.store.version() and not followed.is_done
    assert work_out_gaps(later(desk, 100)) and pending(desk) == [False] * 3


def test_another_day_makes_them_pending_and_a_gap_keeps_its_name_when_its_first_week_has_passed(desk: Desk) -> None:
    work_out_gaps(desk)
    names = [one.gap.key for one in list_shortfalls(desk)]
    on(desk, date(2027, 7, 29))

    assert pending(desk) == [True] * 3
    assert [one.gap.key for one in list_shortfalls(desk)] == names
    work_out_gaps(later(desk, 100))
    found = {one.gap.key: one for one in list_shortfalls(desk)}
    assert found["lagurus-2027-W30"].plain.key == "lagurus-2027-W31"
    assert set(found) == set(names)


def test_a_gap_is_found_by_its_name_and_one_that_became_part_of_another_by_its_old_one(desk: Desk) -> None:
    work_out_gaps(desk)
    with desk.store.unit_of_work(actor="owner", now=desk.now()) as work:
        row = RowAsked("standing_orders", {"last_week": "2027-W33"})
        change_row(desk, work, "a", row, expected=None)
        work.save()
    work_out_gaps(later(desk, 100))

    found = {one.gap.key: one for one in list_shortfalls(desk)}
    assert set(found) == {"lagurus-2027-W34", "lagurus-2027-W39"}
    assert found["lagurus-2027-W34"].merged == ("lagurus-2027-W30",)
    assert gap_options(desk, "lagurus-2027-W30").gap.gap.key == "lagurus-2027-W34"


def test_at_a_level_asked_of_all_names_follow_from_what_is_asked_and_days_are_there_where_it_is_the_same(
    desk: Desk,
) -> None:
    work_out_gaps(desk)
    own = {one.plain.key: one.days for one in list_shortfalls(desk)}
    level = desk.store.farm().site.levels.standing
    assert {one.gap.key: one.days for one in list_shortfalls(desk, level)} == own
    other = list_shortfalls(desk, 0.9)
    assert other and all(one.days is None and one.is_pending for one in other)

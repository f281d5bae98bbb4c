"""The combined plan is asked for, worked out by one worker a step at a time, and kept; looking works nothing out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from haulm.errors import NotAccepted
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, change_row
from haulm.jobs.gaps.follow_gaps import LEASE, Step, work_out_gaps
from haulm.jobs.gaps.plan_season import (
    SeasonAnswer,
    ask_season_plan,
    plan_season,
    season_plan_kept,
    work_out_season_plans,
)
from haulm.jobs.gaps.see_season_plan import see_season_plan
from haulm.jobs.gaps.standing_gaps import named_at
from haulm.planning import combined_plan as planning
from haulm.planning.planner import Planner
from haulm.store.season_book import JOB
from support.desks import NOW
from support.known_farm import growing_farm
from support.other_process import elsewhere, season_planned

OpenDesk = Callable[[dict[str, bytes]], Desk]


def two_gaps() -> dict[str, bytes]:
    """The farm that grows too little, with gaps of two weeks and one."""
    files = growing_farm()
    files["standing_orders.csv"] = (
        b"key,customer,weekday,first_week,last_week,committed_on\n"
        b"a,anna,tue,2027-W34,2027-W35,2027-01-10\n"
        b"b,anna,tue,2027-W39,2027-W39,2027-01-10\n"
    )
    files["standing_lines.csv"] = b"key,order,stems,product\na1,a,40,lagurus\nb1,b,40,lagurus\n"
    return files


@pytest.fixture
def desk(open_desk: OpenDesk) -> Desk:
    return at(open_desk(two_gaps()), NOW + timedelta(minutes=1))


def at(desk: Desk, now: datetime) -> Desk:
    """The same desk at another moment."""
    return replace(desk, now=lambda: now)


def later(desk: Desk, seconds: float) -> Desk:
    return at(desk, desk.now() + timedelta(seconds=seconds))


def stems_asked(desk: Desk, stems: int) -> None:
    with desk.store.unit_of_work(actor="owner", now=desk.now()) as work:
        change_row(desk, work, "a1", RowAsked("standing_lines", {"stems": stems}), expected=None)
        work.save()


@pytest.mark.parametrize("level", [None, 0.6])
@pytest.mark.parametrize("gaps_first", [True, False])
def test_a_step_looks_at_a_gap_and_the_last_one_finds_what_the_plan_itself_says(
    desk: Desk, level: float | None, gaps_first: bool
) -> None:
    if gaps_first:
        work_out_gaps(desk)
    assert ask_season_plan(desk, level) == SeasonAnswer(level, is_pending=True)
    seen = []
    while plan_season(desk, "worker") is Step.MORE:
        seen.append(season_plan_kept(desk, level).progress)
    assert seen == [(1, 2), (2, 2)]

    found = season_plan_kept(desk, level)
    plan = replace(desk, planner=Planner(desk.planner.drawing)).plan()
    looked = [planning.look_at(plan, gap) for gap in plan.gaps(level)]
    assert found.plan == planning.combined_plan(plan, level, looked, lambda gaps: named_at(desk, plan, gaps, level))
    assert found == SeasonAnswer(level, plan=found.plan, as_of=desk.now())
    assert found.plan is not None and found.plan.sowings
    assert {name for one in found.plan.sowings for name in one.may_serve} == {one.gap.name for one in found.plan.closed}


def test_looking_writes_nothing_and_works_nothing_out(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: object) -> None:
        raise AssertionError("looking works nothing out")

    monkeypatch.setattr("haulm.jobs.gaps.plan_season.combined_plan", refused)
    monkeypatch.setattr("haulm.jobs.gaps.plan_season.look_at", refused)
    assert season_plan_kept(desk) == SeasonAnswer(None)
    assert desk.store.season_book.at(None) is None and plan_season(desk, "worker") is Step.DONE
    before = (ask_season_plan(desk), desk.store.season_book.at(None), desk.store.version())
    assert (season_plan_kept(desk), desk.store.season_book.at(None), desk.store.version()) == before
    assert see_season_plan(desk).state == "It is being worked out."


def test_asked_twice_it_is_the_same_job_and_once_worked_out_no_job(desk: Desk) -> None:
    ask_season_plan(desk)
    plan_season(desk, "worker")
    assert ask_season_plan(later(desk, 5)).progress == (1, 2)
    work_out_season_plans(later(desk, 100))
    done = season_plan_kept(desk)
    assert ask_season_plan(later(desk, 200)) == done and desk.store.season_book.waiting() is None


def test_where_a_worker_was_killed_the_next_goes_on_and_looks_at_no_gap_twice(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    ask_season_plan(desk)
    plan_season(desk, "killed")
    before = desk.store.season_book.at(None)
    looked: list[str] = []

    def counted(plan: object, gap: object, ways: object = None) -> object:
        looked.append(gap.key)  # type: ignore[attr-defined]
        return planning.look_at(plan, gap, ways)  # type: ignore[arg-type]

    monkeypatch.setattr("haulm.jobs.gaps.plan_season.look_at", counted)
    anew = replace(desk, planner=Planner(desk.planner.drawing))
    assert plan_season(later(anew, 10), "next") is Step.LATER and desk.store.season_book.at(None) == before
    after = later(anew, LEASE.total_seconds())
    assert [plan_season(after, "next") for _ in range(3)] == [Step.MORE, Step.DONE, Step.DONE]
    assert looked == [gap.key for gap in desk.plan().gaps(None)][1:]
    assert season_plan_kept(desk).plan is not None


def test_of_two_processes_one_is_at_work_and_the_other_takes_over_when_it_is_gone(desk: Desk, tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path}/farm.db"
    ask_season_plan(desk)
    assert plan_season(desk, "this process") is Step.MORE
    assert elsewhere(season_planned, url, desk.now()) is Step.LATER
    assert elsewhere(season_planned, url, later(desk, 61).now()) is Step.MORE
    assert not desk.store.leases.take(JOB, "this process", later(desk, 62).now(), LEASE)
    assert plan_season(later(desk, 62), "this process") is Step.LATER
    assert season_plan_kept(desk).progress == (2, 2)


def test_after_a_change_the_last_plan_stands_as_of_its_moment_and_is_worked_out_anew_when_asked(desk: Desk) -> None:
    ask_season_plan(desk)
    work_out_season_plans(desk)
    first = season_plan_kept(desk)
    assert not first.is_overtaken and see_season_plan(desk).state == ""
    stems_asked(later(desk, 60), 80)

    assert season_plan_kept(desk) == replace(first, is_overtaken=True)
    assert see_season_plan(desk).state.startswith("Something has changed since: the plan below is as of 0")
    assert ask_season_plan(later(desk, 61)) == replace(first, is_overtaken=True, is_pending=True)
    assert plan_season(later(desk, 62), "worker") is Step.LATER, "more may be written"
    assert "1 of 2 gaps looked at. The plan below is as of" in (
        plan_season(later(desk, 64), "worker") and see_season_plan(desk).state
    )
    work_out_season_plans(later(desk, 200))
    second = season_plan_kept(desk)
    assert (second.is_pending, second.is_overtaken) == (False, False) and second.plan != first.plan


def test_a_version_made_while_it_is_worked_out_is_seen_by_the_next_step(desk: Desk) -> None:
    ask_season_plan(desk)
    plan_season(desk, "worker")
    plan_season(desk, "worker")
    stems_asked(desk, 80)
    assert plan_season(later(desk, 4), "worker") is Step.MORE
    assert season_plan_kept(desk).progress == (1, 2)


def test_a_version_made_in_the_midst_of_the_last_step_has_it_done_anew(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def slow(*what: object) -> object:
        found = planning.combined_plan(*what)  # type: ignore[arg-type]
        monkeypatch.setattr("haulm.jobs.gaps.plan_season.combined_plan", planning.combined_plan)
        stems_asked(desk, 80)
        return found

    monkeypatch.setattr("haulm.jobs.gaps.plan_season.combined_plan", slow)
    ask_season_plan(desk)
    assert [plan_season(desk, "worker") for _ in range(3)] == [Step.MORE] * 3
    found = season_plan_kept(desk)
    assert found.plan is not None and found.is_pending and found.is_overtaken
    work_out_season_plans(later(desk, 100))
    assert not season_plan_kept(desk).is_pending and not season_plan_kept(desk).is_overtaken


def test_a_level_that_is_none_is_refused(desk: Desk) -> None:
    for act in (ask_season_plan, season_plan_kept):
        with pytest.raises(NotAccepted):
            act(desk, 1.5)

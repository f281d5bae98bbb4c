"""The early warning as mail: in time, with a way that works, once each, and nothing that was told is told anew."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest

from haulm.farm.weeks import day_in_words
from haulm.farm_folder.cells import values_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row, change_row
from haulm.jobs.florists.no_more_mail import THE_FARM, want_mail
from haulm.jobs.gaps.follow_jobs import work_out_jobs
from haulm.jobs.gaps.list_jobs import list_jobs
from haulm.jobs.gaps.standing_gaps import dated_gaps
from haulm.jobs.warning import run_due as timed
from haulm.jobs.warning.run_due import run_due
from haulm.jobs.warning.send_digest import last_letter, send_digest, send_grave_news
from haulm.jobs.warning.told_gaps import ToldGap, ToldLetter
from haulm.jobs.warning.warn_early import warn_early
from haulm.store.outbox import Claimed
from haulm.store.unit_of_work import UnitOfWork
from support.desks import NOW, on
from support.known_farm import CUSTOMERS, PARTY, growing_farm, known_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]
SPRING = date(2027, 3, 22)
WINTER = date(2027, 3, 1)
"""More than a week before the gap of week 30 has to be acted on."""


def week_30_farm() -> dict[str, bytes]:
    """Anna takes 40 stems in week 30, and the one batch that is planned comes too late for her."""
    files = growing_farm()
    orders = "key,customer,weekday,first_week,last_week,committed_on\nw,anna,tue,2027-W30,2027-W30,2027-01-10\n"
    files["standing_orders.csv"] = orders.encode()
    files["standing_lines.csv"] = b"key,order,stems,product\nw1,w,40,lagurus\n"
    return files


def letters(desk: Desk) -> list[Claimed]:
    """The letters to the farm that wait, oldest first; asking takes them."""
    return list(desk.store.outbox.claim("test", NOW + timedelta(days=400), 50))


def do(desk: Desk, act: Callable[[UnitOfWork], object]) -> None:
    with desk.store.unit_of_work(actor="owner", now=desk.now()) as work:
        act(work)
        work.save()


def test_a_shortfall_of_week_30_is_told_before_its_day_with_a_sowing_that_closes_it(open_desk: OpenDesk) -> None:
    desk = open_desk(week_30_farm())
    on(desk, SPRING)
    run_due(desk)

    (letter,) = letters(desk)
    (gap,) = letter.letter.facts["gaps"]
    assert gap["weeks"] == ["2027-W30"] and gap["change"] == "new"
    assert letter.letter.facts["day"] <= gap["decide_by"]
    assert gap["confidence"] < 0.65 and "Order seed of Hare's-tail grass" in letter.letter.facts["text"]

    (alert,) = warn_early(desk, last_letter(desk)).alerts
    assert alert.best is not None and alert.best.batches
    rows = [RowAsked("batches", values_of("batches", batch)) for batch in alert.best.batches]
    do(desk, lambda work: [add_row(desk, work, row) for row in rows])
    on(desk, SPRING + timedelta(days=3))
    run_due(desk)

    (after,) = letters(desk)
    assert after.letter.facts["gaps"] == []
    assert "No longer short: Hare's-tail grass, week 30." in after.letter.facts["text"]


def test_nothing_is_sent_when_nothing_is_new(open_desk: OpenDesk) -> None:
    desk = open_desk(week_30_farm())
    for days in (0, 3, 4):
        on(desk, WINTER + timedelta(days=days))
        run_due(desk)

    (first,) = (found.letter.facts for found in letters(desk))
    assert "Order seed of Hare's-tail grass" in first["text"]


def test_on_the_farms_day_of_the_week_a_short_letter_says_that_nothing_is_new(open_desk: OpenDesk) -> None:
    desk = open_desk(week_30_farm())
    for days in (0, 3, 7):
        on(desk, WINTER + timedelta(days=days))
        run_due(desk)

    first, second = (found.letter.facts for found in letters(desk))
    assert second["day"] == "2027-03-08" and not second["is_news"]
    assert "Nothing is new since the letter of Mon 1 Mar 2027." in second["text"]
    assert len(second["text"].splitlines()) < len(first["text"].splitlines())


def test_the_short_letter_comes_on_the_day_that_the_farm_has_chosen(open_desk: OpenDesk) -> None:
    files = week_30_farm()
    files["farm.toml"] = b'short_letter_day = "sat"\n' + files["farm.toml"]
    desk = open_desk(files)
    for days in range(8):
        on(desk, WINTER + timedelta(days=days))
        run_due(desk)

    assert [found.letter.facts["day"] for found in letters(desk)] == ["2027-03-01", "2027-03-06"]


def told(desk: Desk) -> list[tuple[str, str]]:
    """The day of each letter and what it says of gaps."""
    found = letters(desk)
    return [
        (one.letter.facts["day"], item["text"])
        for one in found
        for section in one.letter.facts["sections"]
        for item in section["items"]
        if item["gaps"]
    ]


def test_what_was_told_is_told_again_when_its_day_is_within_a_week_and_no_more(open_desk: OpenDesk) -> None:
    desk = open_desk(week_30_farm())
    on(desk, SPRING)
    run_due(desk)
    (job,) = list_jobs(desk).gap_jobs
    for day in (job.day - timedelta(days=10), job.day - timedelta(days=6), job.day - timedelta(days=3)):
        on(desk, day)
        run_due(desk)

    said = [text for _, text in told(desk)]
    assert said[0].endswith("(new)")
    assert sum(text.endswith("(due)") for text in said) == 1 and sum(text.endswith("(new)") for text in said) == 1


def test_a_day_that_has_passed_is_said_once_with_what_is_left(open_desk: OpenDesk) -> None:
    desk = open_desk(week_30_farm())
    on(desk, SPRING)
    run_due(desk)
    (job,) = list_jobs(desk).gap_jobs
    for days in (1, 4, 5):
        on(desk, job.day + timedelta(days=days))
        work_out_jobs(desk)
        send_digest(desk, "test")

    passed = [text for _, text in told(desk) if f"passed on {day_in_words(job.day)}" in text]
    (said,) = passed
    assert said.startswith("The day to order seed of Hare's-tail grass passed") and "you can still" in said


def test_what_a_letter_told_is_entered_at_the_version_it_tells_of(open_desk: OpenDesk) -> None:
    desk = open_desk(week_30_farm())
    on(desk, SPRING)
    work_out_jobs(desk)
    version = desk.store.version()
    found = send_digest(desk, "test")

    entry = desk.store.last_entry("digest-sent", "digest")
    assert entry is not None
    assert (found.version, entry.facts["version"]) == (version, version)
    assert set(entry.facts["gaps"]) == {gap for item in found.body.items for gap in item.gaps}


def test_a_job_that_the_plan_moved_says_both_days_and_why(open_desk: OpenDesk) -> None:
    desk = open_desk(week_30_farm())
    on(desk, SPRING)
    run_due(desk)
    do(desk, lambda work: change_row(desk, work, "w1", RowAsked("standing_lines", {"stems": 60}), expected=None))
    on(desk, SPRING + timedelta(days=3))
    run_due(desk)

    texts = [text for day, text in told(desk) if day != SPRING.isoformat()]
    assert all("standing orders" in text for text in texts)


def test_a_batch_that_should_be_up_is_said_once(open_desk: OpenDesk) -> None:
    files = week_30_farm()
    files["batches.csv"] = files["batches.csv"].replace(b"planned", b"sown")
    desk = open_desk(files)
    for days in range(0, 30, 3):
        on(desk, date(2027, 6, 14) + timedelta(days=days))
        run_due(desk)

    said = [found.letter.facts["text"] for found in letters(desk)]
    assert sum("Should be mostly up by now" in text for text in said) == 1


def test_a_gap_whose_week_is_over_is_not_called_closed(open_desk: OpenDesk) -> None:
    desk = open_desk(week_30_farm())
    on(desk, date(2027, 7, 22))
    run_due(desk)
    on(desk, date(2027, 8, 2))
    run_due(desk)

    first, second = (found.letter.facts for found in letters(desk))
    assert first["gaps"] and second["gaps"] == [] and "No longer short" not in second["text"]


def test_a_gap_of_several_weeks_is_the_same_gap_when_its_first_week_has_passed(open_desk: OpenDesk) -> None:
    desk = open_desk(growing_farm())
    on(desk, date(2027, 9, 9))
    run_due(desk)
    on(desk, date(2027, 9, 20))
    run_due(desk)

    first, second = (found.letter.facts for found in letters(desk))
    assert [gap["weeks"] for gap in first["gaps"]] == [["2027-W37", "2027-W38"]]
    assert [(gap["weeks"], gap["change"] != "new") for gap in second["gaps"]] == [(["2027-W38"], True)]
    assert "No longer short" not in second["text"]


def test_a_letter_that_was_slept_through_goes_out_once_on_waking(open_desk: OpenDesk) -> None:
    desk = open_desk(week_30_farm())
    on(desk, SPRING)
    run_due(desk)
    on(desk, SPRING + timedelta(days=12))
    assert "digest" in run_due(desk)
    assert "digest" not in run_due(desk)

    assert [found.letter.facts["day"] for found in letters(desk)] == ["2027-03-22", "2027-04-03"]


def test_on_the_days_between_nothing_is_sent(open_desk: OpenDesk) -> None:
    desk = open_desk(week_30_farm())
    for days in range(15):
        on(desk, WINTER + timedelta(days=days))
        run_due(desk)

    assert [found.letter.facts["day"] for found in letters(desk)] == ["2027-03-01", "2027-03-08", "2027-03-15"]


def test_grave_news_goes_out_at_once_and_once(open_desk: OpenDesk) -> None:
    desk = open_desk(known_farm(**PARTY))
    run_due(desk)
    (before,) = letters(desk)
    assert {gap["weeks"][0] for gap in before.letter.facts["gaps"]} == {"2027-W26"}
    fewer = RowAsked("known_stems", {"stems": 10}, override=True)
    do(desk, lambda work: change_row(desk, work, "k1", fewer, expected=None))

    run_due(desk)
    work_out_jobs(desk)
    assert "grave news" in run_due(desk)
    work_out_jobs(desk)
    assert "grave news" not in run_due(desk)
    (letter,) = letters(desk)
    told = [(gap["weeks"], gap["change"], gap["grave"]) for gap in letter.letter.facts["gaps"]]
    assert (["2027-W24"], "new", True) in told


def test_nothing_is_called_grave_until_its_day_is_worked_out_for_the_farm_as_it_is(open_desk: OpenDesk) -> None:
    desk = open_desk(known_farm(**PARTY))
    run_due(desk)
    letters(desk)
    fewer = RowAsked("known_stems", {"stems": 10}, override=True)
    do(desk, lambda work: change_row(desk, work, "k1", fewer, expected=None))

    assert any(one.is_pending for one in dated_gaps(desk, desk.plan()))
    assert not send_grave_news(desk, "test") and letters(desk) == []


def test_whoever_ended_the_early_warning_gets_none_until_it_is_wanted_again(open_desk: OpenDesk) -> None:
    desk = open_desk(week_30_farm())
    on(desk, SPRING)
    do(desk, lambda work: want_mail(work, THE_FARM, wanted=False))
    run_due(desk)
    assert (letters(desk), send_grave_news(desk, "test")) == ([], False)

    do(desk, lambda work: want_mail(work, THE_FARM, wanted=True))
    on(desk, SPRING + timedelta(days=3))
    run_due(desk)
    assert len(letters(desk)) == 1


def test_a_job_that_fails_holds_up_no_other_and_is_done_again(
    open_desk: OpenDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = open_desk(week_30_farm())
    on(desk, SPRING)

    def fails(*_given: Any) -> None:
        raise ArithmeticError("an invented fault")

    with monkeypatch.context() as broken:
        broken.setattr(timed, "recheck_quotes", fails)
        with pytest.raises(ArithmeticError):
            run_due(desk)
    assert len(letters(desk)) == 1

    assert run_due(desk) == ("rechecks",)


def test_no_letter_names_a_customer(open_desk: OpenDesk) -> None:
    desk = open_desk(week_30_farm())
    on(desk, date(2027, 7, 20))
    run_due(desk)

    (letter,) = letters(desk)
    names = [row.split(",")[1].strip() for row in CUSTOMERS.split("\n") if "," in row][1:]
    assert letter.letter.facts["gaps"] and names
    assert not any(name in str(letter.letter.facts) for name in (*names, "anna", "bram"))


@pytest.mark.parametrize(("weeks", "is_told"), [(5, False), (3, True)])
def test_another_day_or_way_of_what_can_wait_is_told_when_it_has_come_nearer(
    open_desk: OpenDesk, weeks: int, is_told: bool
) -> None:
    desk = open_desk(week_30_farm())
    on(desk, date(2027, 1, 11))
    work_out_jobs(desk)
    (job,) = list_jobs(desk).gap_jobs
    on(desk, job.day - timedelta(weeks=weeks))
    work_out_jobs(desk)
    (job,) = list_jobs(desk).gap_jobs
    gap, weeks = job.gap.gap, (job.gap.gap.weeks[0], job.gap.gap.weeks[-1])
    before = ToldGap(0.9, "grass", *weeks, False, job.day + timedelta(days=1), "another way")
    items = warn_early(desk, ToldLetter(desk.today(), gaps={gap.key: before})).body.items

    assert any(item.gaps for item in items) == is_told


@pytest.mark.parametrize("is_weekly", [False, True])
def test_what_is_left_after_a_day_that_has_passed_is_said_again_only_in_the_short_letter(
    open_desk: OpenDesk, is_weekly: bool
) -> None:
    desk = open_desk(week_30_farm())
    on(desk, date(2027, 7, 22))
    work_out_jobs(desk)
    (job,) = list_jobs(desk).gap_jobs
    assert job.day <= desk.today() + timedelta(days=7)
    yesterday = desk.today() - timedelta(days=1)
    gap, weeks = job.gap.gap, (job.gap.gap.weeks[0], job.gap.gap.weeks[-1])
    before = ToldGap(gap.confidence, "grass", *weeks, False, yesterday, job.way, True, "The day to sow passed")
    items = warn_early(desk, ToldLetter(yesterday, gaps={gap.key: before}), is_weekly=is_weekly).body.items

    assert any(item.gaps for item in items) == is_weekly

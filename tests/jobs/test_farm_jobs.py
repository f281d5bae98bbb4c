"""Jobs of the farm: one for all gaps that it closes, read and not worked out, the dearest to wait with first."""

from collections.abc import Callable
from datetime import date, timedelta

from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.follow_gaps import Step, work_out_gaps
from haulm.jobs.gaps.follow_jobs import are_jobs_worked_out, follow_jobs, work_out_jobs
from haulm.jobs.gaps.list_jobs import list_jobs
from haulm.jobs.gaps.standing_gaps import dated_gaps
from haulm.jobs.growing.due_work import Due, Work, gathered
from haulm.jobs.growing.short_jobs import Sort, in_place
from support.desks import on
from support.known_farm import growing_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]
DAY = date(2027, 6, 14)


def two_gaps() -> dict[str, bytes]:
    """Anna takes 40 stems in week 37 and Bram 5 in week 39: what is sown for the one flowers for the other."""
    files = growing_farm()
    files["standing_orders.csv"] = (
        b"key,customer,weekday,first_week,last_week,committed_on\n"
        b"w,anna,tue,2027-W37,2027-W37,2027-01-10\n"
        b"x,bram,tue,2027-W39,2027-W39,2027-01-11\n"
    )
    files["standing_lines.csv"] = b"key,order,stems,product\nw1,w,40,lagurus\nx1,x,5,lagurus\n"
    return files


def test_a_sowing_that_closes_two_gaps_is_one_job_for_both(open_desk: OpenDesk) -> None:
    desk = open_desk(two_gaps())
    work_out_jobs(desk)
    gaps = {found.gap.key for found in dated_gaps(desk, desk.plan())}
    jobs = list_jobs(desk).gap_jobs

    assert len(gaps) == 2
    assert sorted(name for job in jobs for name in job.covers) == sorted(gaps)
    joined = [job for job in jobs if len(job.covers) == 2 or job.helps]
    assert joined and "week 37" in joined[0].sentence and "week 39" in joined[0].sentence
    assert " and " in joined[0].whose
    assert list(jobs) == sorted(jobs, key=lambda job: job.rank)


def test_jobs_wait_for_the_days_and_asking_works_nothing_out(open_desk: OpenDesk) -> None:
    desk = open_desk(growing_farm())
    assert follow_jobs(desk, "test") is Step.DONE and list_jobs(desk).gap_jobs == ()

    work_out_gaps(desk)
    written = desk.store.gaps_written()
    assert list_jobs(desk).gap_jobs == () and desk.store.gaps_written() == written
    assert follow_jobs(desk, "test") is Step.DONE
    assert are_jobs_worked_out(desk) and len(list_jobs(desk).gap_jobs) == 1
    on(desk, DAY + timedelta(days=1))
    assert not are_jobs_worked_out(desk) and list_jobs(desk).gap_jobs[0].act_by.partition(",")[2].startswith(" as of")


def test_while_another_worker_is_at_it_nothing_is_worked_out_twice(open_desk: OpenDesk) -> None:
    desk = open_desk(growing_farm())
    work_out_gaps(desk)
    desk.store.leases.take("gap jobs", "other", desk.now(), timedelta(minutes=1))

    assert follow_jobs(desk, "test") is Step.LATER and not work_out_jobs(desk)
    assert list_jobs(desk).gap_jobs == ()


def test_work_that_begins_alike_is_one_sentence_and_other_days_are_named() -> None:
    due = [
        Due(Work.SOW, "a", DAY, "Sow under cover", "Ammi (40 places)"),
        Due(Work.SOW, "b", DAY, "Sow under cover", "Zinnia (30 places)"),
        Due(Work.SOW, "c", DAY + timedelta(days=3), "Sow under cover", "Ammi (20 places)"),
        Due(Work.SOW, "d", DAY, "Sow where they stay", "Nigella"),
    ]
    tasks = gathered(due)

    assert [task.sentence for task in tasks] == [
        "Sow under cover: Ammi (40 places) and Zinnia (30 places); on Thu 17 Jun 2027 Ammi (20 places).",
        "Sow where they stay: Nigella.",
    ]
    assert sorted(token for task in tasks for token in task.tokens) == ["sow a", "sow b", "sow c", "sow d"]


def test_of_much_work_a_part_is_named_and_all_of_it_counts_as_told() -> None:
    (task,) = gathered(Due(Work.COUNT, str(one), DAY, "Count", f"Kind {one}") for one in range(9))

    assert task.sentence.endswith("; and 3 more.") and len(task.tokens) == 9


def test_a_job_in_few_words_says_how_much_for_which_weeks_and_since_when_its_day_stands(open_desk: OpenDesk) -> None:
    desk = open_desk(growing_farm())
    work_out_jobs(desk)
    (job,) = list_jobs(desk).gap_jobs
    assert job.short.day == job.day
    assert job.sentence.startswith("Order seed of Hare's-tail grass for 44 places")
    said = in_place(job.short.does, job.short.what)
    assert (job.short.sort, said) == (Sort.ORDER, "order seed of Hare's-tail grass (44 places, weeks 37 to 38)")

    on(desk, DAY + timedelta(days=1))
    (pending,) = list_jobs(desk).gap_jobs
    assert ", day as of " in pending.short.what

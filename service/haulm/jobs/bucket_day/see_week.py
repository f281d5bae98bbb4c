"""The list of a bucket day as it is shown: what is settled of it, and what is expected."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from haulm.jobs.bucket_day.bucket_lines import AS_DRAFTED, BucketList, Choices
from haulm.jobs.bucket_day.confirmed_lists import settled_of
from haulm.jobs.bucket_day.draft_bucket_list import draft_of, last_day_of
from haulm.jobs.bucket_day.listed import WeekList
from haulm.jobs.desk.desk import Desk
from haulm.planning.plan import Plan


def see_week(desk: Desk, day: date, choices: Choices = AS_DRAFTED) -> WeekList:
    """The list of a bucket day, with the grower's choices for what is expected; refusals as `draft_bucket_list`."""
    settled = settled_of(desk, day)
    if settled and day + timedelta(days=6) < desk.today():
        return WeekList(BucketList(day, last_day_of(desk.store.farm().site, day), ()), settled)
    return week_of(desk, desk.plan(), day, choices)


def week_of(desk: Desk, plan: Plan, day: date, choices: Choices = AS_DRAFTED) -> WeekList:
    """The same in a plan that is at hand; a word about what is settled already says nothing more."""
    settled = settled_of(desk, day)
    open_ones = replace(choices, no_cut=choices.no_cut - {one.key for one in settled})
    return WeekList(draft_of(desk, plan, day, open_ones), settled)

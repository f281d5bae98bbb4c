"""Kinds that the farm once marked as food and that are none: the mark is taken back, and said once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from haulm.crop_library.library import food_conflict
from haulm.jobs.desk import Desk

TAKEN_BACK = "food-mark-taken-back"
"""The entry of one kind that lost its mark: why, and on which day it was said."""
_SAID_FOR = timedelta(days=7)


def take_back_food_marks(desk: Desk, actor: str) -> tuple[str, ...]:
    """Take the mark from every kind that is barred from food: kinds stored before the register knew of them.

    Nothing printed them as food meanwhile, since a crop asks the register itself.

    Returns:
        The keys of the varieties that lost it now; none the second time.
    """
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        found = [(variety, conflict) for variety in work.farm.varieties if (conflict := food_conflict(variety))]
        for variety, conflict in found:
            facts = {"why": conflict.why, "on": desk.today().isoformat()}
            seq = work.enter(TAKEN_BACK, f"varieties/{variety.key}", facts)
            work.put(replace(variety, food_use=False), entry=seq)
        if found:
            work.save()
    return tuple(variety.key for variety, _ in found)


def food_marks_in_words(desk: Desk) -> Iterator[str]:
    """One note of all kinds that lost the mark within a week, or are about to; nothing where there are none."""
    since = desk.today() - _SAID_FOR
    taken = (entry.facts for entry in desk.store.entries_of(TAKEN_BACK))
    told = [facts["why"] for facts in taken if date.fromisoformat(facts["on"]) > since]
    told += [conflict.why for variety in desk.store.farm().varieties if (conflict := food_conflict(variety))]
    reasons = tuple(dict.fromkeys(told))
    if reasons:
        start = (
            "A kind was marked as food and is not"
            if len(reasons) == 1
            else "Some kinds were marked as food and are not"
        )
        yield f"{start}: {'; '.join(reasons)}."

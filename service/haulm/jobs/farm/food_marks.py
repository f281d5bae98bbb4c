"""Kinds that the farm once marked as food and that are none: the mark is taken back, and said once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from haulm.crop_library.library import food_conflict
from haulm.crop_library.plants import FoodBar
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Variety
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _
from haulm.store.errors import FarmEmpty
from haulm.store.store import Store
from haulm.store.unit_of_work import UnitOfWork

TAKEN_BACK = "food-mark-taken-back"
"""The entry of one kind that lost its mark: why, and on which day it was said."""
_SAID_FOR = timedelta(days=7)


def without_old_mark(work: UnitOfWork, before: Variety, changed: Variety, today: date) -> Variety:
    """A changed row without the mark that was void before the change, with the entry that says why.

    For a change that names other columns: it is not refused because of what was stored before the register was there.
    """
    conflict = food_conflict(before)
    if conflict is None or food_conflict(changed) is None:
        return changed
    _enter(work, before, conflict, today)
    return replace(changed, food_use=False)


def void_marks_known(store: Store, farm: Farm) -> tuple[Farm, tuple[str, ...]]:
    """A folder's farm without the void marks that this farm stores, or has lost before; and a sentence for each.

    So a copy that the farm wrote itself comes back. A void mark on any other kind stays, and is a fault of the folder.
    """
    try:
        known = {variety.key: variety for variety in store.farm().varieties}
    except FarmEmpty:
        return farm, ()
    lost = {entry.subject for entry in store.entries_of(TAKEN_BACK)}
    told: list[str] = []
    kept: list[Variety] = []
    for variety in farm.varieties:
        conflict, stored = food_conflict(variety), known.get(variety.key)
        is_same = stored is not None and _names(stored) == _names(variety)
        is_old = stored is not None and (stored.food_use or f"varieties/{variety.key}" in lost)
        if conflict is not None and is_same and is_old:
            told.append(
                _("A kind was marked as food and is not; the mark is taken back: {why}.").format(why=conflict.why)
            )
            variety = replace(variety, food_use=False)
        kept.append(variety)
    return replace(farm, varieties=tuple(kept)), tuple(told)


def _names(variety: Variety) -> tuple[str | None, ...]:
    return variety.name, variety.botanical_name, variety.caution


def without_void_marks(farm: Farm) -> Farm:
    """A farm as it is written out: no kind that is barred from food is marked as food."""
    kept = tuple(replace(variety, food_use=False) if food_conflict(variety) else variety for variety in farm.varieties)
    return farm if kept == farm.varieties else replace(farm, varieties=kept)


def take_back_food_marks(desk: Desk, actor: str) -> tuple[str, ...]:
    """Take the mark from every kind that is barred from food: kinds stored before the register knew of them.

    Nothing printed them as food meanwhile, since a crop asks the register itself.

    Returns:
        The keys of the varieties that lost it now; none the second time.
    """
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        found = [(variety, conflict) for variety in work.farm.varieties if (conflict := food_conflict(variety))]
        for variety, conflict in found:
            seq = _enter(work, variety, conflict, desk.today())
            work.put(replace(variety, food_use=False), entry=seq)
        if found:
            work.save()
    return tuple(variety.key for variety, _ in found)


def _enter(work: UnitOfWork, variety: Variety, conflict: FoodBar, today: date) -> int:
    return work.enter(TAKEN_BACK, f"varieties/{variety.key}", {"why": conflict.why, "on": today.isoformat()})


def food_marks_in_words(desk: Desk) -> Iterator[str]:
    """One note of all kinds that lost the mark within a week, or are about to; nothing where there are none."""
    since = desk.today() - _SAID_FOR
    taken = (entry.facts for entry in desk.store.entries_of(TAKEN_BACK))
    told = [facts["why"] for facts in taken if date.fromisoformat(facts["on"]) > since]
    told += [conflict.why for variety in desk.store.farm().varieties if (conflict := food_conflict(variety))]
    reasons = tuple(dict.fromkeys(told))
    if reasons:
        start = (
            _("A kind was marked as food and is not")
            if len(reasons) == 1
            else _("Some kinds were marked as food and are not")
        )
        yield f"{start}: {'; '.join(reasons)}."

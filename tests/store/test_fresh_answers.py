"""After every edit a desk that has lived on says what a new process on the same database says, and a new import.

Two thousand seasons; promises, rows, records, counts, cuts, releases and days, on both databases. Floors and the
journal are no part of a folder, so they are compared with the new process alone.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.import_farm import export_farm
from haulm.jobs.field.record_cut import CutAsked, record_cut
from haulm.planning.growth import Drawing
from haulm.planning.planner import Planner
from haulm.store.store import Store
from support import scale
from support.bucket_days import BucketDay, bucket_farm
from support.desks import MONDAY, NOW, Calendar, desk_over, sqlite_store
from support.promise_desks import LivedFarm
from support.same_answers import answers, differing
from support.summer_farm import BATCHES, summer_farm

SEASONS = 2000
EDITS = scale.count(usual=4, large=60)
BESIDE_IMPORT = scale.count(usual=2, large=5)
"""Every so many edits the farm is brought out and in again as well."""


def new_process(desk: Desk, url: str) -> Desk:
    """A desk on the same database that has seen nothing yet."""
    return Desk(Store.open(url), Planner(Drawing(SEASONS, 1)), Calendar(desk.today()), lambda: NOW)


def new_import(desk: Desk, folder: Path) -> Desk:
    """A desk over a database of its own with what the farm's folder holds."""
    (folder / "store").mkdir(parents=True)
    export_farm(desk.store, folder / "farm")
    files = {path.name: path.read_bytes() for path in (folder / "farm").iterdir()}
    return desk_over(sqlite_store(folder / "store"), files, today=desk.today(), seasons=SEASONS)


def cut(desk: Desk, dice: random.Random) -> None:
    """A few stems go from the field into the store, in both books."""
    lost = {record.batch for record in desk.store.farm().records if record.kind == "lost"}
    batch = dice.choice([name for name in BATCHES if name not in lost])
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        record_cut(desk, work, CutAsked(dice.randint(1, 4), batch=batch, beyond_count=True))
        work.save()


def unlike_a_new_process(desk: Desk, url: str) -> list[str]:
    fresh = new_process(desk, url)
    found = differing(answers(desk, with_floors=True), answers(fresh, with_floors=True))
    fresh.store.close()
    return found


def unlike_a_new_import(desk: Desk, folder: Path) -> list[str]:
    fresh = new_import(desk, folder)
    found = differing(answers(desk, with_floors=False), answers(fresh, with_floors=False))
    fresh.store.close()
    return found


@pytest.mark.parametrize("number", range(scale.count(usual=1, large=3)))
def test_after_every_edit_a_desk_says_what_a_new_one_says(store: Store, url: str, tmp_path: Path, number: int) -> None:
    dice = random.Random(f"edits {number}")
    desk = desk_over(store, summer_farm(), today=MONDAY, seasons=SEASONS)
    lived = LivedFarm(desk, dice)
    for edit in range(EDITS):
        if edit % 4 == 3:
            cut(desk, dice)
            lived.moved()
        else:
            lived.live(1)
        assert unlike_a_new_process(desk, url) == [], edit
        if edit % BESIDE_IMPORT == BESIDE_IMPORT - 1:
            assert unlike_a_new_import(desk, tmp_path / str(edit)) == [], edit
    assert lived.faults == []


def test_a_confirmed_list_and_what_was_cut_for_it_are_known_to_a_new_process(store: Store, url: str) -> None:
    desk = desk_over(store, bucket_farm(), today=MONDAY, seasons=SEASONS)
    day = BucketDay(desk)
    before = answers(desk, with_floors=True)
    day.cut(30, batch="older", more=True)
    day.confirm(MONDAY)

    assert "match" in differing(answers(desk, with_floors=True), before)
    assert unlike_a_new_process(desk, url) == []

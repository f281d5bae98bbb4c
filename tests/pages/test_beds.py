"""The beds over the year ahead: the same metres as what warns of too many, and every sowing in its bed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import replace
from datetime import date, timedelta
from importlib import resources
from types import SimpleNamespace
from typing import Any

import pytest

from haulm.farm.weeks import Week
from haulm.farm.words import BedKind, Method
from haulm.jobs.gaps.over_full_beds import over_full_beds
from haulm.jobs.gaps.see_beds import see_beds
from haulm.pages.bed_drawing import bed_drawn
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.known_farm import growing_farm as growing_folder
from support.planned_farms import growing_farm, planned


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Door]:
    """The demo farm in March."""
    folder = resources.files("haulm.demo_farm").joinpath("folder")
    files = {one.name: one.read_bytes() for one in folder.iterdir() if one.is_file()}
    with (
        closing(sqlite_store(tmp_path_factory.mktemp("demo"))) as store,
        Door(desk_over(store, files, today=date(2027, 3, 15), seasons=60)) as door,
    ):
        yield door


def test_the_weeks_drawn_as_too_many_are_those_that_the_warnings_name() -> None:
    short = tuple(replace(bed, metres=6.0) if bed.metres else bed for bed in growing_farm().beds)
    plan = planned(growing_farm(beds=short))
    desk: Any = SimpleNamespace(plan=lambda: plan)
    warned = {bed.bed: {one.week: one.asked for one in bed.weeks} for bed in over_full_beds(plan)}
    assert set(warned) == {"north"}, "8 m are asked of it, and twice that later"
    for bed in see_beds(desk):
        over = {one.week: one.taken for one in bed.weeks if one.taken > 6.0}
        assert over == warned.get(bed.bed.key, {})
        assert (bed.too_many is None) is (bed.bed.key not in warned)
        assert (bed_drawn(bed).over != "") is (bed.bed.key in warned)
    assert see_beds(desk)[0].says == "10 m too many"


def test_no_more_is_cut_than_stands_and_each_sowing_stands_in_one_bed(demo: Door) -> None:
    beds = see_beds(demo.desk)
    assert all(0 <= week.cutting <= week.taken for bed in beds for week in bed.weeks)
    assert any(week.cutting for bed in beds for week in bed.weeks)
    keys = [one.batch.key for bed in beds for one in bed.sowings]
    assert len(keys) == len(set(keys))
    for bed in beds:
        week = bed.weeks[20].week
        ends = week.monday + timedelta(days=6)
        here = [one.metres for one in bed.sowings if one.first <= ends and one.last >= week.monday]
        assert bed.weeks[20].taken <= sum(here) + 1e-9


def test_what_is_sown_in_its_bed_is_bare_until_it_is_up_and_what_comes_as_plants_never(demo: Door) -> None:
    beds = see_beds(demo.desk)
    sowings = [one for bed in beds for one in bed.sowings]
    assert all((one.up is not None) is (one.batch.method is Method.DIRECT) for one in sowings)
    assert all(0 <= week.sown <= week.taken - week.cutting + 1e-9 for bed in beds for week in bed.weeks)
    to_come = [one for one in sowings if one.up and one.first > date(2027, 3, 22) and one.up > one.first]
    assert to_come
    for bed in beds:
        for one in (one for one in bed.sowings if one in to_come):
            week = next(week for week in bed.weeks if week.week == Week.of(one.first))
            assert week.sown > 0 or one.up <= week.week.monday + timedelta(days=6)
            grown = [week for week in bed.weeks if week.week.monday > one.up]
            assert grown and bed_drawn(bed).sown
    assert "sown, not up yet" in demo.ask("GET", "/beds").text


@pytest.mark.parametrize(("seen", "up"), [("", None), ("r1,2027-06-12,germinated,first,10", date(2027, 6, 12))])
def test_what_was_seen_to_be_up_is_up(
    open_door: Callable[[dict[str, bytes]], Door], seen: str, up: date | None
) -> None:
    files = growing_folder()
    records = f"key,date,kind,batch,count\n{seen}\n".encode()
    told = {**files, "records.csv": records, "batches.csv": files["batches.csv"].replace(b"planned", b"sown")}
    (found,) = (one for bed in see_beds(open_door(told).desk) for one in bed.sowings)
    assert found.up is not None and (up is None or found.up == up)
    assert up is not None or found.up > found.first


def test_every_bed_has_a_page_with_a_strip_for_each_sowing(demo: Door) -> None:
    text = demo.ask("GET", "/beds").text
    for bed in see_beds(demo.desk):
        assert f'href="/beds/{bed.bed.key}"' in text and bed.says in text
        own = demo.ask("GET", f"/beds/{bed.bed.key}").text
        assert all(f'href="/plan/{one.batch.key}"' in own for one in bed.sowings)
    benches = [bed.key for bed in demo.desk.store.farm().beds if bed.kind is BedKind.BENCH]
    assert [demo.ask("GET", f"/beds/{key}").status_code for key in (*benches, "nowhere")] == [404] * (len(benches) + 1)

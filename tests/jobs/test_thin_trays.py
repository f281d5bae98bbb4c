"""The early warning of trays that have not come up: look first, then until when sowing again helps."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

from haulm.jobs.desk.desk import Desk
from haulm.jobs.warning.warn_early import warn_early
from support.desks import desk_over, sqlite_store
from support.farms import grower_folder
from support.known_farm import CUSTOMERS, SITE, growing_farm


@contextmanager
def desk(place: Path, today: date, *, records: str = "", weeks: str = "2027-W34,2027-W35") -> Iterator[Desk]:
    """A tray of cosmos sown on 20 April for 90 plants, of which anna takes 40 stems in two weeks."""
    climate = growing_farm()["farm.toml"].decode().split("[frost]")[1]
    files = grower_folder(
        site=SITE + "\n[frost]" + climate,
        varieties="key,name,life_cycle,habit,weeks_to_flower,harvest_weeks\n"
        "cosmos,Cosmos,half_hardy_annual,cut_and_come_again,11,9",
        batches="key,variety,sow_date,method,sown,plants,status\nc1,cosmos,2027-04-20,cover,120,90,sown",
        records="key,date,kind,batch,count,left,final\n" + records,
        customers=CUSTOMERS,
        standing_orders=f"key,customer,weekday,first_week,last_week,committed_on\nw,anna,tue,{weeks},2027-01-10",
        standing_lines="key,order,stems,product\nw1,w,40,cosmos",
    )
    store = sqlite_store(place)
    yield desk_over(store, files, today=today)
    store.close()


def said(found: Desk) -> list[str]:
    """What is said of the tray, but for the tasks that every tray has on its way into the ground."""
    sentences = [task.sentence for task in warn_early(found).tasks if "Cosmos" in task.sentence]
    return [sentence for sentence in sentences if not sentence.startswith(("Plant out", "Pot on", "Harden"))]


def test_before_most_trays_are_up_nothing_is_said(tmp_path: Path) -> None:
    with desk(tmp_path, date(2027, 4, 28)) as found:
        assert said(found) == []


def test_a_tray_that_nobody_counted_is_to_be_looked_at_and_not_written_off(tmp_path: Path) -> None:
    with desk(tmp_path, date(2027, 5, 10)) as found:
        (sentence,) = said(found)

    assert sentence.startswith("Should be mostly up by now: count, or write down what you see: Cosmos sown Tue 20 Apr")


def test_a_thin_tray_is_sown_again_by_a_day_that_keeps_what_is_promised(tmp_path: Path) -> None:
    with desk(tmp_path, date(2027, 5, 10), records="r1,2027-05-08,germinated,c1,30,,") as found:
        (sentence,) = said(found)

    # 90 plants want 100 places up; 70 are lacking; at 80 % that is 88.
    assert "30 places are up, 88 more" in sentence
    assert re.search(r"Sow again by \w+ \d+ \w+ 2027 ", sentence) and "promised" in sentence


def test_a_tray_with_enough_up_is_left_alone(tmp_path: Path) -> None:
    with desk(tmp_path, date(2027, 5, 10), records="r1,2027-05-08,germinated,c1,110,,") as found:
        assert said(found) == []

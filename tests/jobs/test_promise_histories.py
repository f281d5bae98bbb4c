"""Farms lived through: twenty-five promises each, by the jobs, while forecasts rise and fall, beside the judge's book.

After every step every floor and debt is the judge's, and nothing is under its floor by more than a point. Every verdict
names those who fall, and those less sure, exactly as the judge does.
"""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest

from haulm.advice import floors
from haulm.advice.floors import following
from haulm.forecast.doubt import EXACT
from haulm.planning import growth
from support import scale
from support.desks import desk_over, sqlite_store
from support.ledger_laws import broken_laws
from support.promise_desks import SEASONS, LivedFarm
from support.summer_farm import summer_farm

FARMS = scale.count(usual=10, large=300)
PROMISES = 25
PARTS = 5
OWING_FARM = 5
"""A farm in which accepted promises take what nobody would notice, and the forecast moves afterwards."""

FEWER_FARM, FEWER_PROMISES = 20, 60
"""A farm in which a line asks fewer stems while only its delivery as a whole owes, which takes a long history."""


@pytest.mark.parametrize("part", range(PARTS))
def test_along_a_history_verdicts_and_floors_are_the_judges(part: int, tmp_path: Path) -> None:
    told: Counter[str] = Counter()
    for number in range(part, FARMS, PARTS):
        folder = tmp_path / str(number)
        folder.mkdir()
        lived = lived_through(number, folder)
        assert lived.faults == [], number
        told += lived.told
    assert min(told["accepted"], told["refused"]) >= 10 and told["falls"] and told["overridden"]


def test_a_delivery_owes_nothing_any_more_once_one_of_its_lines_asks_fewer_stems(tmp_path: Path, exact: None) -> None:
    lived = lived_through(FEWER_FARM, tmp_path, FEWER_PROMISES)
    assert lived.told["fewer of a delivery that alone owes"] and lived.faults == []


def test_floors_that_do_not_owe_are_found_out(tmp_path: Path, exact: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(floors, "following", lambda sure, debt: following(sure, 0.0))
    assert lived_through(OWING_FARM, tmp_path).faults


@pytest.fixture
def exact(monkeypatch: pytest.MonkeyPatch) -> None:
    """A farm that knows its figures: more is promised on so few plants, so that more is owed."""
    monkeypatch.setattr(growth, "doubt_of", lambda farm, crop: EXACT)
    for name in ("BAD_SHARE", "DEAD_LOT_SHARE"):
        monkeypatch.setattr(growth, name, 0.0)


def lived_through(number: int, folder: Path, promises: int = PROMISES) -> LivedFarm:
    """A farm at the end of its history; its books are sound."""
    store = sqlite_store(folder)
    lived = LivedFarm(desk_over(store, summer_farm(), seasons=SEASONS), random.Random(number)).live(promises)
    assert broken_laws(store) == []
    store.close()
    return lived

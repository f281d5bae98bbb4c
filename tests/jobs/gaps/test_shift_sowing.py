"""A sowing shifted on the picture: the same answer as a plan made anew, nothing written, what is refused."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from haulm.errors import NotAccepted, NotFound
from haulm.farm.edits import with_rows
from haulm.farm.products import Product
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.see_kind import see_kind, with_sowing
from haulm.jobs.gaps.shift_sowing import MOST_WEEKS, ShiftAsked, shift_sowing
from haulm.planning.planner import Planner
from support.known_farm import growing_farm


@pytest.fixture
def farm(open_desk: Callable[[dict[str, bytes]], Desk]) -> Desk:
    """A farm with weather on 14 June: one sowing that is not begun, one that is."""
    files = growing_farm()
    columns = files["batches.csv"].decode().splitlines()[0].split(",")
    told = {"key": "later", "variety": "lagurus", "sow_date": "2027-07-05", "method": "cover", "sown": "120"}
    rows = ({**told, "status": "planned"}, {**told, "key": "begun", "sow_date": "2027-06-01", "status": "sown"})
    added = "".join(",".join(row.get(name, "") for name in columns) + "\n" for row in rows)
    return open_desk({**files, "batches.csv": files["batches.csv"].rstrip(b"\n") + b"\n" + added.encode()})


@pytest.mark.parametrize(
    "asked",
    [
        ShiftAsked("later", weeks=2),
        ShiftAsked("later", weeks=-2),
        ShiftAsked("later", places=480),
        ShiftAsked("later", weeks=1, places=30),
        ShiftAsked("later", is_left_out=True),
    ],
)
def test_the_picture_is_that_of_a_plan_made_anew(farm: Desk, asked: ShiftAsked) -> None:
    found = shift_sowing(farm, asked)
    shifted = with_rows(farm.store.farm(), [found.batch])
    anew = Planner(farm.planner.drawing).plan(shifted, farm.today())

    product = Product("lagurus")
    assert found.after.kind_weeks(product) == anew.kind_weeks(product)
    assert found.after.season_picture == anew.season_picture
    assert with_sowing(see_kind(farm, "lagurus"), found.after).weeks


def test_a_sowing_that_is_left_out_gives_what_the_plan_gives_without_it(farm: Desk) -> None:
    found = shift_sowing(farm, ShiftAsked("later", is_left_out=True))
    known = farm.store.farm()
    without = replace(known, batches=tuple(one for one in known.batches if one.key != "later"))

    assert found.after.season_picture == Planner(farm.planner.drawing).plan(without, farm.today()).season_picture
    assert found.cut is None


def test_what_would_be_written_is_what_changed_and_looking_writes_nothing(farm: Desk) -> None:
    version = farm.store.farm().version
    found = shift_sowing(farm, ShiftAsked("later", weeks=2, places=60))

    assert found.changes == {"sow_date": "2027-07-19", "sown": "60"}
    assert farm.store.farm().version == version
    assert found.batch.sow_date is not None and found.batch.sow_date - timedelta(weeks=2) == found.before.sow_date
    assert shift_sowing(farm, ShiftAsked("later")).changes == {}


@pytest.mark.parametrize(
    "asked",
    [
        ShiftAsked("later", weeks=MOST_WEEKS + 1),
        ShiftAsked("later", weeks=-4),
        ShiftAsked("later", places=0),
    ],
)
def test_what_cannot_be_is_refused(farm: Desk, asked: ShiftAsked) -> None:
    with pytest.raises(NotAccepted):
        shift_sowing(farm, asked)


def test_what_grows_already_can_only_fail(farm: Desk) -> None:
    with pytest.raises(NotAccepted):
        shift_sowing(farm, ShiftAsked("begun", weeks=1))
    assert shift_sowing(farm, ShiftAsked("begun", is_left_out=True)).batch.is_over
    with pytest.raises(NotFound):
        shift_sowing(farm, ShiftAsked("nothing"))

"""One batch with what was seen and is forecast of it; without a climate there is no forecast, and why is said."""

from collections.abc import Callable

import pytest

from haulm.errors import NotFound
from haulm.jobs.desk.desk import Desk
from haulm.jobs.growing.see_batch import see_batch, see_batches
from haulm.jobs.growing.show_evidence import show_evidence
from support.bucket_days import bucket_farm
from support.farms import grower_folder

OpenDesk = Callable[[dict[str, bytes]], Desk]
RECORDS = "key,date,kind,batch,count\nr1,2027-06-07,not_yet,older,\nr2,2027-06-10,not_yet,older,\n"


@pytest.fixture
def seen(open_desk: OpenDesk) -> Desk:
    """Of the older of two batches it was said twice that it is not ready yet."""
    return open_desk(bucket_farm(records=RECORDS))


def test_a_batch_shows_its_own_records_newest_first_and_its_forecast(seen: Desk) -> None:
    found = see_batch(seen, "older")

    assert [row.key for row in found.records] == ["r2", "r1"]
    assert found.forecast is not None and found.missing is None
    assert see_batch(seen, "newer").records == ()
    assert [row.key for row, _ in see_batches(seen)] == ["older", "newer"]
    with pytest.raises(NotFound):
        see_batch(seen, "gone")


def test_records_of_one_batch_are_named_at_the_other_that_they_moved(seen: Desk) -> None:
    moved = {one.batch: one for one in show_evidence(seen.plan()).moved_by}
    own, other = see_batch(seen, "older"), see_batch(seen, "newer")

    assert set(moved) == {"older"} and moved["older"].records == ("r1", "r2")
    assert own.moved == moved["older"] and own.moved_by == ()
    assert other.moved is None and other.moved_by == (("Hare's-tail grass", "older"),)


def test_without_a_climate_it_is_said_why_nothing_is_forecast(open_desk: OpenDesk) -> None:
    desk = open_desk(
        grower_folder(
            varieties="key,name\nlagurus,Bunny tail",
            batches="key,variety,sow_date,method,sown,status\nb1,lagurus,2027-04-15,direct,20,planned",
        )
    )
    found = see_batch(desk, "b1")

    assert found.forecast is None and found.missing
    assert show_evidence(desk.plan()).effective_seasons == 0.0

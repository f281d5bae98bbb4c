"""Labels of trays and beds: what was sown, when it should be up, and until when its tray is kept."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from haulm.errors import NotAccepted, NotFound
from haulm.farm.words import Method
from haulm.jobs.desk.desk import Desk
from haulm.jobs.growing.label_sowings import germination_window, label_beds, label_trays
from support.bucket_days import bucket_farm
from support.forecast_builders import crop

SOWN = date(2027, 3, 1)


@pytest.fixture
def farm(open_desk: Callable[[dict[str, bytes]], Desk]) -> Desk:
    """Two batches sown in trays on 22 February and 1 March, one in each of two beds; the north bed is walked first."""
    return open_desk(bucket_farm())


def test_a_tray_is_kept_twice_as_long_as_a_slow_one_takes_and_four_weeks_at_least() -> None:
    quick = germination_window(Method.COVER, crop(germination_days=5.0), SOWN)
    slow = germination_window(Method.COVER, crop(germination_days=40.0), SOWN)

    assert SOWN < quick.first <= quick.usual <= quick.last <= quick.keep_until == SOWN + timedelta(days=28)
    assert slow.keep_until == SOWN + 2 * (slow.last - SOWN) > SOWN + timedelta(days=28)


def test_heat_brings_it_up_earlier() -> None:
    warm, cool = (germination_window(way, crop(), SOWN).usual for way in (Method.HEATED, Method.COVER))
    assert warm < cool


def test_trays_are_those_sown_between_two_days(farm: Desk) -> None:
    assert label_trays(farm) == ()
    found = label_trays(farm, date(2027, 2, 1), date(2027, 2, 28))
    assert [(one.batch.key, one.sown, one.plant_out) for one in found] == [
        ("older", date(2027, 2, 22), date(2027, 4, 20))
    ]
    with pytest.raises(NotAccepted):
        label_trays(farm, date(2027, 3, 2), date(2027, 3, 1))


def test_beds_are_in_the_order_of_walking_with_what_stands_in_them(farm: Desk) -> None:
    found = [(one.bed.key, [(row.key, day) for row, _, day in one.batches]) for one in label_beds(farm)]

    assert found == [("north", [("newer", date(2027, 4, 27))]), ("south", [("older", date(2027, 4, 20))])]
    assert [one.bed.key for one in label_beds(farm, "south")] == ["south"]
    with pytest.raises(NotFound):
        label_beds(farm, "west")

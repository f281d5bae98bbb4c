"""From the tray into the ground: each day after the one before, and no step where there is no time for it."""

from datetime import date, timedelta

from haulm.farm.words import Method
from haulm.jobs.growing.tray_days import tray_days
from support.forecast_builders import crop

SOWN = date(2027, 3, 1)


def test_steps_follow_each_other_and_the_warm_bench_is_quicker() -> None:
    found = tray_days(Method.COVER, crop(germination_days=10.0, harden_days=7), SOWN, SOWN + timedelta(weeks=8))
    warm = tray_days(Method.HEATED, crop(germination_days=10.0, harden_days=7), SOWN, SOWN + timedelta(weeks=8))

    assert found.prick_out is not None and found.pot_on is not None and found.harden is not None
    assert SOWN < found.up < found.prick_out < found.harden < found.plant_out
    assert found.harden == date(2027, 4, 19) and found.up < found.pot_on < found.plant_out
    assert warm.up < found.up


def test_what_is_planted_out_soon_is_neither_pricked_out_nor_potted_on() -> None:
    found = tray_days(Method.COVER, crop(germination_days=10.0, harden_days=0), SOWN, SOWN + timedelta(weeks=2))

    assert (found.prick_out, found.pot_on, found.harden) == (None, None, None)

"""Laws of lots that don't come up: seen at their count, sown again in season, never what was counted."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from haulm.farm.words import BatchStatus, Method
from haulm.forecast.inputs import Evidence, Sowing
from haulm.forecast.latent import Latent
from haulm.forecast.supply import forecast
from haulm.horticulture.frost import NEVER
from haulm.horticulture.sowing_windows import SowingRules
from support.forecast_builders import monthly_climate, setting, sowing

CLIMATE = monthly_climate()
SHARE = 0.05
SOWN = sowing("2027-04-15", status=BatchStatus.SOWN)
"""Sown in the open: it comes up in ten days, so it is counted on 1 May, 16 days after its day."""


def grown(batch: Sowing, *, share: float = SHARE, today: date = date(2027, 4, 16)) -> Latent:
    return forecast([batch], CLIMATE, setting(today=today, seasons=2000, dead_lot_share=share)).latents[0]


def late(batch: Sowing, **changes: object) -> np.ndarray:
    """How many days later a batch flowers for its dead lots, shape (seasons,)."""
    with_lots, without = grown(batch, **changes), grown(batch, **{**changes, "share": 0.0})
    return with_lots.first_day.astype(int) - without.first_day.astype(int)


def test_one_lot_in_twenty_is_late_and_gives_its_stems_all_the_same() -> None:
    days = late(SOWN)
    assert np.mean(days > 0) == pytest.approx(SHARE, abs=0.015)
    assert np.median(days[days > 0]) == pytest.approx(12, abs=6)
    assert np.array_equal(grown(SOWN).total, grown(SOWN, share=0.0).total)


@pytest.mark.parametrize(
    "known",
    [
        {"evidence": Evidence(germinated_final=140)},
        {"evidence": Evidence(germinated_so_far=60)},
        {"evidence": Evidence(plants_alive=90)},
        {"status": BatchStatus.PLANTED},
        {"lot_seen": True},
        {"method": Method.PLUGS, "sow_date": None, "plant_out_date": date(2027, 5, 20)},
        {"method": Method.TUBER},
    ],
)
def test_what_was_counted_or_planted_or_is_no_seed_is_never_late(known: dict[str, object]) -> None:
    assert not late(replace(SOWN, **known)).any()  # type: ignore[arg-type]


def test_a_count_that_comes_late_is_made_today_at_the_earliest() -> None:
    soon, later = late(SOWN), late(SOWN, today=date(2027, 5, 25))
    assert np.median(later[later > 0]) > np.median(soon[soon > 0]) + 8


def test_out_of_season_a_dead_lot_gives_nothing() -> None:
    closed = replace(SOWN, season=SowingRules(direct_until=(4, 20)))
    found, without = grown(closed), grown(closed, share=0.0)
    dead = found.first_day == NEVER
    assert np.mean(dead) == pytest.approx(SHARE, abs=0.015)
    assert not found.total[dead].any()
    assert np.array_equal(found.total[~dead], without.total[~dead])


def test_sowings_of_one_lot_are_late_in_the_same_seasons() -> None:
    tray = [replace(SOWN, key=key, lot="tray 3") for key in ("b1", "b2")]
    assert np.array_equal(late(tray[0]) > 0, late(tray[1]) > 0)
    assert not np.array_equal(late(SOWN) > 0, late(replace(SOWN, key="b2")) > 0)


def test_not_yet_says_nothing_of_a_lot_that_did_not_come_up() -> None:
    waiting = replace(SOWN, evidence=Evidence(not_yet=date(2027, 8, 20)))
    found = forecast([waiting], CLIMATE, setting(today=date(2027, 8, 21), seasons=2000, dead_lot_share=SHARE))
    dead = found.latents[0].first_day.astype(int) > grown(waiting, share=0.0, today=date(2027, 8, 21)).first_day
    assert found.weights[dead].sum() > SHARE

"""Laws of what is drawn for a doubt: by its own key, the mean kept, the same whoever else grows."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from haulm.farm.words import BatchStatus, Method
from haulm.forecast.doubt import EXACT, Doubt, FigureDoubt
from haulm.forecast.doubt_sizes import shared_out
from haulm.forecast.inputs import Evidence, Setting, Sowing
from haulm.forecast.latent import Latent
from haulm.forecast.supply import Forecast, forecast
from support.forecast_builders import monthly_climate, setting, sowing

CLIMATE = monthly_climate()
WIDE = Doubt(shared_out(0.15), shared_out(0.45))
STANDING = {"status": BatchStatus.PLANTED, "sown": None, "plants": 100}


def made(sowings: list[Sowing], **changes: object) -> Forecast:
    return forecast(sowings, CLIMATE, drawn(**changes))


def drawn(**changes: object) -> Setting:
    return setting(**{"today": date(2027, 4, 1), "seasons": 2000, **changes})


def latent(found: Forecast, key: str) -> Latent:
    return next(one for one in found.latents if one.key == key)


def standing(key: str, *, variety: str = "grass", kind: str = "", doubt: Doubt = WIDE) -> Sowing:
    return sowing("2027-04-15", key=key, variety=variety, kind=kind, doubt=doubt, **STANDING)


def logs(found: Forecast, key: str) -> np.ndarray:
    return np.log(np.maximum(latent(found, key).total, 1e-6))


def alike(one: np.ndarray, other: np.ndarray) -> float:
    alive = (one > -10) & (other > -10)
    return float(np.corrcoef(one[alive], other[alive])[0, 1])


def test_a_doubted_figure_keeps_its_mean_and_spreads_its_stems() -> None:
    exact, doubted = made([standing("b1", doubt=EXACT)]), made([standing("b1")])
    before, after = latent(exact, "b1").total.astype(float), latent(doubted, "b1").total.astype(float)
    assert after.mean() == pytest.approx(before.mean(), rel=0.03)
    wider = np.var(logs(doubted, "b1")[after > 0]) - np.var(logs(exact, "b1")[before > 0])
    assert wider == pytest.approx(0.45**2 * (0.9**2 + 0.45**2), rel=0.15)


def test_a_doubted_need_leaves_the_middle_day_where_it_was() -> None:
    exact, doubted = made([standing("b1", doubt=EXACT)]), made([standing("b1")])
    before, after = latent(exact, "b1").first_day.astype(float), latent(doubted, "b1").first_day.astype(float)
    assert abs(np.median(after) - np.median(before)) <= 2
    assert np.ptp(np.quantile(after, (0.1, 0.9))) > 1.2 * np.ptp(np.quantile(before, (0.1, 0.9)))


def test_cultivars_of_a_kind_fail_together_and_other_kinds_do_not() -> None:
    batches = [standing("b1", variety="red", kind="zinnia"), standing("b2", variety="blue", kind="zinnia")]
    found = made([*batches, standing("b3", variety="grey")])
    assert alike(logs(found, "b1"), logs(found, "b2")) > alike(logs(found, "b1"), logs(found, "b3")) + 0.3


def test_batches_of_a_variety_share_all_of_its_doubt() -> None:
    found = made([standing("b1"), standing("b2"), standing("b3", variety="other", kind="grass")])
    assert alike(logs(found, "b1"), logs(found, "b2")) > alike(logs(found, "b1"), logs(found, "b3")) + 0.05


def test_one_more_batch_moves_no_draw_of_another() -> None:
    alone = made([standing("b1")], bad_share=0.15, dead_lot_share=0.05)
    beside = made([standing("b0", variety="other"), standing("b1")], bad_share=0.15, dead_lot_share=0.05)
    for part in ("first_day", "kill_day", "curve", "total"):
        assert np.array_equal(getattr(latent(alone, "b1"), part), getattr(latent(beside, "b1"), part))


def test_half_the_doubt_draws_the_same_seasons_half_as_far_off() -> None:
    exact, half, whole = (
        made([standing("b1", doubt=Doubt(stems=FigureDoubt(0.0, spread, 0.0)))]) for spread in (0.0, 0.2, 0.4)
    )
    alive = latent(exact, "b1").total > 0
    near, far = (logs(found, "b1")[alive] - logs(exact, "b1")[alive] for found in (half, whole))
    assert near + 0.2**2 / 2 == pytest.approx((far + 0.4**2 / 2) / 2, abs=1e-4)


def test_what_is_drawn_for_a_kind_stays_from_one_year_to_the_next() -> None:
    perennial = replace(standing("b1", doubt=Doubt(stems=shared_out(0.6))), method=Method.ESTABLISHED, sow_date=None)
    this, following = made([perennial]).latents
    unknown = replace(perennial, doubt=EXACT)
    as_known, next_as_known = made([unknown]).latents
    off, next_off = (
        np.log(np.maximum(doubted.total, 1e-6) / np.maximum(known.total, 1e-6))
        for doubted, known in ((this, as_known), (following, next_as_known))
    )
    alive = (as_known.total > 0) & (next_as_known.total > 0)
    assert off[alive] == pytest.approx(next_off[alive], abs=1e-3)


def test_in_a_bad_season_every_kind_gives_half() -> None:
    batches = [standing("b1", doubt=EXACT), standing("b2", variety="other", doubt=EXACT)]
    good, some_bad = made(batches), made(batches, bad_share=0.15)
    shares = [latent(some_bad, key).total / np.maximum(latent(good, key).total, 1e-6) for key in ("b1", "b2")]
    alive = (latent(good, "b1").total > 0) & (latent(good, "b2").total > 0)
    assert np.array_equal(shares[0][alive].round(3), shares[1][alive].round(3))
    assert set(shares[0][alive].round(3)) == {0.5, 1.0}
    assert np.mean(shares[0][alive] < 0.75) == pytest.approx(0.15, abs=0.01)


def test_the_first_cut_of_a_known_day_is_nobodys_doubt() -> None:
    told = replace(standing("b1"), evidence=Evidence(first_cut=date(2027, 7, 20)))
    assert np.ptp(latent(made([told], today=date(2027, 8, 1)), "b1").first_day) == 0

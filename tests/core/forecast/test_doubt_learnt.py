"""Laws of doubted figures after records: they agree with the seasons in which the records would have come about."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from haulm.farm.words import BatchStatus
from haulm.forecast.doubt import Doubt
from haulm.forecast.doubt_draws import Part, Score
from haulm.forecast.doubt_sizes import shared_out
from haulm.forecast.inputs import Evidence, Sowing
from haulm.forecast.latent import Latent
from haulm.forecast.percentiles import quantiles
from haulm.forecast.supply import Forecast, forecast
from support.forecast_builders import crop, monthly_climate, setting, sowing

CLIMATE = monthly_climate()
TODAY = date(2027, 9, 20)
DOUBT = Doubt(shared_out(0.15), shared_out(0.5))
STANDING = {"status": BatchStatus.PLANTED, "sown": None, "plants": 100}
KINDS = (("seen", "red", "zinnia"), ("same", "red", "zinnia"), ("sibling", "blue", "zinnia"), ("stranger", "oat", ""))


def batches(doubt: Doubt = DOUBT) -> list[Sowing]:
    """One batch to see something of, another of its variety, one of another cultivar, one of another kind."""
    days = ("2027-04-15", "2027-05-01", "2027-04-20", "2027-04-20")
    return [
        sowing(day, key=key, variety=variety, kind=kind, doubt=doubt, **STANDING)
        for day, (key, variety, kind) in zip(days, KINDS, strict=True)
    ]


def made(sowings: list[Sowing], *, seasons: int = 4000, **changes: object) -> Forecast:
    return forecast(sowings, CLIMATE, setting(today=TODAY, seasons=seasons, **changes))


def told(sowings: list[Sowing], key: str, **evidence: object) -> list[Sowing]:
    seen = Evidence(**evidence)  # type: ignore[arg-type]
    return [replace(one, evidence=seen) if one.key == key else one for one in sowings]


def latent(found: Forecast, key: str) -> Latent:
    return next(one for one in found.latents if one.key == key)


def days(found: Forecast, key: str) -> np.ndarray:
    return latent(found, key).first_day.astype(float)


def level(values: np.ndarray, weights: np.ndarray, *shares: float) -> np.ndarray:
    return quantiles(values[None, :], shares, weights)[:, 0]


def date_of(found: Forecast, number: float) -> date:
    assert found.seasons is not None
    return found.seasons.span.first + timedelta(days=round(number))


@pytest.mark.parametrize("share", [0.15, 0.85])
def test_a_first_cut_leaves_what_the_seasons_that_would_have_brought_it_leave(share: float) -> None:
    many = made(batches(), seasons=60_000)
    day = round(level(days(many, "seen"), many.weights, share)[0])
    so = np.abs(days(many, "seen") - day) <= 1
    assert so.sum() > 500
    found = made(told(batches(), "seen", first_cut=date_of(many, day)))
    for key in ("same", "sibling", "stranger"):
        seen = level(days(found, key), found.weights, 0.1, 0.5, 0.9)
        would = level(days(many, key), so / so.sum(), 0.1, 0.5, 0.9)
        assert seen == pytest.approx(would, abs=2.5), key


@pytest.mark.parametrize("share", [0.15, 0.85])
def test_a_whole_count_leaves_what_the_seasons_that_would_have_brought_it_leave(share: float) -> None:
    never_frozen = crop(kill_c=-30.0)
    first = {"first_cut": date(2027, 7, 15)}
    unseen = told([replace(one, crop=never_frozen) for one in batches()], "seen", **first)
    many = made(unseen, seasons=60_000)
    stems = int(level(latent(many, "seen").total.astype(float), many.weights, share)[0])
    off = np.log(stems / np.maximum(latent(many, "seen").total, 1e-3)) / 0.15
    so = many.weights * np.exp(-(off**2) / 2)
    counted = told(unseen, "seen", **first, cut_so_far=stems, left=0, cut_until=date(2027, 9, 19))
    found = made(counted)
    for key in ("same", "sibling", "stranger"):
        seen = level(latent(found, key).total.astype(float), found.weights, 0.2, 0.5, 0.8)
        would = level(latent(many, key).total.astype(float), so / so.sum(), 0.2, 0.5, 0.8)
        assert seen == pytest.approx(would, rel=0.12), key


def test_not_yet_leaves_what_the_seasons_that_are_not_yet_there_leave() -> None:
    many = made(batches(), seasons=60_000)
    day = round(level(days(many, "seen"), many.weights, 0.8)[0])
    so = days(many, "seen") > day
    found = made(told(batches(), "seen", not_yet=date_of(many, day)))
    for key in ("seen", "same", "sibling"):
        seen = level(days(found, key), found.weights, 0.1, 0.5, 0.9)
        assert seen == pytest.approx(level(days(many, key), so / so.sum(), 0.1, 0.5, 0.9), abs=3), key


def test_one_kinds_records_narrow_it_and_use_up_few_seasons() -> None:
    before = made(batches())
    one = level(days(before, "seen"), before.weights, 0.9)[0]
    two = level(days(before, "same"), before.weights, 0.9)[0]
    first = made(told(batches(), "seen", first_cut=date_of(before, one)))
    both = made(told(told(batches(), "seen", first_cut=date_of(before, one)), "same", first_cut=date_of(before, two)))
    widths = [np.ptp(level(days(found, "sibling"), found.weights, 0.1, 0.9)) for found in (before, first, both)]
    assert widths[0] > widths[1] > 0.9 * widths[2]
    assert both.effective_seasons > 0.4 * len(both.weights)


def test_a_season_of_totals_teaches_the_kind_the_more_batches_the_surer() -> None:
    """Left of .50 for the kind: what its own season and batches blur, .29 / sqrt(n) and the shared part."""
    kind = Score(Part.STEMS_OF_KIND, "zinnia")
    counts = {"cut_so_far": 300, "left": 0, "cut_until": date(2027, 9, 19), "first_cut": date(2027, 7, 15)}
    spreads = []
    for keys in ((), ("seen",), ("seen", "same", "sibling")):
        sowings = [replace(one, crop=crop(kill_c=-30.0)) for one in batches()]
        for key in keys:
            sowings = told(sowings, key, **counts)
        found = made(sowings)
        assert found.seasons is not None
        scores = found.seasons.score(kind)
        mean = scores @ found.weights
        spreads.append(0.45 * float(np.sqrt((scores - mean) ** 2 @ found.weights)))
    assert spreads[0] == pytest.approx(0.45, abs=0.01)
    assert 0.25 < spreads[2] < spreads[1] < 0.36


def test_what_is_known_of_a_figure_is_the_same_in_whatever_order_it_is_told() -> None:
    sowings = batches()
    start = made(sowings, seasons=400)
    first = told(sowings, "seen", first_cut=date(2027, 7, 20), cut_so_far=90, cut_until=date(2027, 8, 10))
    last = told(first, "sibling", first_cut=date(2027, 7, 28))
    at_once = made(last, seasons=400)
    stepwise = start.with_sowings(first).with_sowings(last).with_sowings(last)
    backwards = start.with_sowings(told(sowings, "sibling", first_cut=date(2027, 7, 28))).with_sowings(last)
    for found in (stepwise, backwards):
        assert np.array_equal(found.weights, at_once.weights)
        for one, other in zip(found.latents, at_once.latents, strict=True):
            assert np.array_equal(one.first_day, other.first_day)
            assert np.array_equal(one.total, other.total)
    back = stepwise.with_sowings(sowings)
    assert np.array_equal(back.weights, start.weights)
    assert all(np.array_equal(a.total, b.total) for a, b in zip(back.latents, start.latents, strict=True))

"""What no input can bring about is refused where it is made; what a farm may write is not, a figure of 0 included."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from haulm.farm.words import LifeCycle, Method
from haulm.forecast.back_plan import Target
from haulm.forecast.doubt import FigureDoubt
from haulm.forecast.first_stem import Bounds
from haulm.forecast.inputs import Climate, Evidence, PartLoss
from haulm.forecast.kind_seen import kind_seen
from haulm.forecast.learning import Figure, Prior, SeasonSeen, learned
from haulm.forecast.overwintering import Stretch
from haulm.forecast.percentiles import quantiles
from haulm.forecast.scoring import Judged, no_news_band
from haulm.forecast.season_weights import weights_of
from haulm.forecast.supply import forecast
from haulm.forecast.weather import Span
from support.forecast_builders import TODAY, crop, monthly_climate, setting, sowing

SPAN = Span.around(TODAY, latitude_deg=52.0)


@pytest.mark.parametrize(
    ("broken", "invariant"),
    [
        (lambda: FigureDoubt(variety_sd=-0.1), "never negative"),
        (lambda: Bounds(after=9, until=8), "some day between"),
        (lambda: Stretch(3, 2), "follow each other"),
        (lambda: Target(date(2027, 7, 2), date(2027, 7, 1), 10), "has an end"),
        (lambda: PartLoss(TODAY, 10, 0.5), "not both"),
        (lambda: Evidence(cut_so_far=10), "by some day"),
        (lambda: Climate(no_frost_share=1.0), "has a frost"),
        (lambda: Judged(held=3, decided=2), "was decided"),
        (lambda: replace(SPAN, starts=(0, 365, 365, 1096)), "follow each other"),
        (lambda: SPAN.month_day((4, 15), year=-1), "a growing year of the span"),
        (lambda: quantiles(np.ones((1, 4)), (0.5,), np.full(3, 1 / 3)), "a weight for each season"),
        (lambda: quantiles(np.ones((1, 4)), (80.0,)), "a share of the seasons"),
        (lambda: weights_of(np.full(3, -np.inf)), "some season fits"),
        (lambda: no_news_band(10, 1.0), "wholly sure"),
        (lambda: kind_seen([], np.full(3, 0.5)), "some variety"),
        (lambda: forecast([sowing(), sowing()], monthly_climate(), setting()), "a key of its own"),
    ],
)
def test_what_cannot_be_is_refused_in_words(broken: Callable[[], object], invariant: str) -> None:
    with pytest.raises(AssertionError, match=invariant):
        broken()


@pytest.mark.parametrize("method", [Method.PLUGS, Method.HEATED, Method.DIRECT])
@pytest.mark.parametrize("life_cycle", [LifeCycle.HARDY_ANNUAL, LifeCycle.BIENNIAL])
def test_a_kind_of_no_weeks_flowers_soon_however_it_is_started(method: Method, life_cycle: LifeCycle) -> None:
    day = date(2027, 5, 1)
    days = {"sow_date": None, "plant_out_date": day} if method is Method.PLUGS else {"sow_date": day}
    found = forecast(
        [sowing(method=method, crop=crop(weeks_to_flower=0.0, life_cycle=life_cycle), **days)],
        monthly_climate(),
        setting(),
    )

    first = np.median(found.latents[0].first_day) - SPAN.index(day)
    assert 0 <= first <= 60


@pytest.mark.parametrize("figure", [Figure.STEMS, Figure.WEEKS])
def test_a_season_moves_a_figure_of_nought(figure: Figure) -> None:
    found = learned(Prior(figure, 0.0), [SeasonSeen("2026", 3.0, 1)])

    assert found.own == pytest.approx(3.0, rel=0.1)
    assert 0 < found.value < 3


def test_a_figure_of_nought_stays_without_a_season() -> None:
    assert learned(Prior(Figure.STEMS, 0.0), []).value == 0

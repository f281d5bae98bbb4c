"""What one batch will give: its days, its stems, the seasons without any, and why there are none."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from haulm.farm.words import BatchStatus, LifeCycle, Method
from haulm.forecast.inputs import Climate, Evidence, Sowing
from haulm.forecast.no_stems import NoStems, why_no_stems
from haulm.forecast.one_batch import Harvest, harvest_of
from haulm.forecast.percentiles import quantiles
from haulm.forecast.supply import Forecast, forecast
from haulm.horticulture.frost import NEVER
from support.forecast_builders import COOL_MARITIME, TODAY, crop, setting, sowing

CLIMATE = Climate(normals=COOL_MARITIME)
YEARS_DAYS = 900


def drawn(*sowings: Sowing, **changes: object) -> Forecast:
    return forecast(sowings, CLIMATE, setting(**changes))


def harvest(one: Sowing, since: date = TODAY, **changes: object) -> Harvest:
    found = harvest_of(drawn(one, **changes), one.key, since)
    assert found is not None
    return found


def test_the_figures_are_those_of_the_stems_season_by_season() -> None:
    made = drawn(sowing())
    found = harvest_of(made, "b1", TODAY)
    assert found is not None
    stems = sum(made.stems_of("b1", TODAY, YEARS_DAYS).values())
    total = np.asarray(stems).sum(axis=0)
    gives = total > 0

    assert found.none == pytest.approx(1 - made.weights[gives].sum())
    assert found.amount == tuple(np.floor(quantiles(total[None, gives], (0.1, 0.5, 0.9))[:, 0]).astype(int))
    first = np.argmax(np.asarray(stems)[:, gives] > 0, axis=0)
    days = quantiles(first[None, :], (0.1, 0.5, 0.9))[:, 0]
    assert found.first_stem == tuple(TODAY + timedelta(round(float(day))) for day in days)


def test_seasons_without_a_stem_are_counted_apart_and_move_no_percentile() -> None:
    found = harvest(sowing(plants=1, sown=2))
    assert 0 < found.none < 1
    assert found.amount[0] >= 1


def test_a_first_stem_that_was_cut_keeps_its_day_and_stems_cut_are_no_part_of_what_is_to_come() -> None:
    planted = sowing(status=BatchStatus.PLANTED)
    cut, today = date(2027, 7, 10), date(2027, 7, 20)
    seen = Evidence(first_cut=cut, ready_by=cut, cut_so_far=50, cut_until=today)
    before, after = harvest(planted), harvest(replace(planted, status=BatchStatus.CUTTING, evidence=seen), today=today)
    assert after.first_stem == (cut, cut, cut)
    assert after.amount[1] < before.amount[1]
    assert after.first_day > today


def test_of_a_perennial_it_is_the_next_harvest_alone() -> None:
    kind = crop(life_cycle=LifeCycle.PERENNIAL)
    peony = sowing(None, crop=kind, method=Method.ESTABLISHED, status=BatchStatus.PLANTED)
    late = date(2027, 12, 1)
    first, second = harvest(peony), harvest(peony, late, today=late)
    assert {day.year for day in first.first_stem} == {2027}
    assert {day.year for day in second.first_stem} == {2028}
    both = np.sum(list(drawn(peony).stems_of("b1", TODAY, YEARS_DAYS).values()), axis=0).sum(axis=0)
    assert first.amount[1] < np.median(both)


def test_the_parts_of_the_doubt_add_up_to_all_of_it() -> None:
    parts = harvest(sowing(), seasons=2000).doubt
    assert sum(one.share for one in parts) == pytest.approx(1)
    assert [one.share for one in parts] == sorted((one.share for one in parts), reverse=True)


def test_typical_seasons_are_as_rich_as_the_figures_say() -> None:
    found = harvest(sowing(), seasons=2000)
    for season, amount in zip(found.typical, found.amount, strict=True):
        assert season.stems == pytest.approx(amount, rel=0.15)


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"status": BatchStatus.LOST}, NoStems.LOST),
        ({"evidence": Evidence(lost_on=TODAY)}, NoStems.LOST),
        ({"evidence": Evidence(finished_on=TODAY)}, NoStems.FINISHED),
        ({"sow_date": date(2026, 12, 1)}, NoStems.OVERDUE),
        ({"sow_date": None}, NoStems.UNDATED),
        ({"sow_date": date(2033, 4, 1)}, NoStems.BEYOND),
        ({"plants": 0, "sown": 0}, NoStems.NO_PLANTS),
        ({"sow_date": date(2026, 3, 1), "status": BatchStatus.PLANTED}, NoStems.OVER),
    ],
)
def test_where_no_season_gives_a_stem_there_is_a_reason(changes: dict[str, object], why: NoStems) -> None:
    one = sowing(**changes) if "sow_date" not in changes else replace(sowing(), **changes)  # type: ignore[arg-type]
    made = drawn(one)
    assert harvest_of(made, "b1", TODAY) is None
    assert why_no_stems(one, made) is why


@pytest.mark.parametrize(("days", "why"), [("first_day", NoStems.NEVER_FLOWERS), ("kill_day", NoStems.KILLED_FIRST)])
def test_a_first_stem_that_never_comes_is_told_apart_from_one_that_frost_forestalls(days: str, why: NoStems) -> None:
    one = sowing()
    made = drawn(one)
    (latent,) = made.latents
    other = NEVER if days == "first_day" else int(latent.first_day.min())
    made = replace(made, latents=(replace(latent, **{days: np.full_like(latent.first_day, other)}),))  # type: ignore[arg-type]
    assert harvest_of(made, "b1", TODAY) is None
    assert why_no_stems(one, made) is why

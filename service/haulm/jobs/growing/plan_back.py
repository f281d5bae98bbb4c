"""Back-planning: when to sow a product for a week, by a method, and the last sowing of the year."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from haulm.advice.options.candidates import sowing_rules
from haulm.errors import NotAccepted, NotFound
from haulm.evidence.climate import climate_of
from haulm.evidence.doubts import doubt_of
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week, growing_year
from haulm.farm.words import BatchStatus, Form, LifeCycle, LineClass, Method
from haulm.forecast.back_plan import BackPlan, LastSowing, Starts, Target, back_plan, last_sowing, sow_days, sown_on
from haulm.forecast.inputs import Sowing
from haulm.forecast.supply import Forecast, forecast
from haulm.horticulture.sowing_windows import sowable
from haulm.jobs.desk.asked_level import check_level
from haulm.jobs.desk.desk import Desk
from haulm.planning.cold import cold_words
from haulm.planning.growth import Drawing, doubted_setting

_SEASONS, _SEED = 400, 1
_PLACES = 100
_YEAR_DAYS = 364


@dataclass(frozen=True, slots=True)
class BackPlanAsked:
    """Stems of a product wanted in a week, by a method, at a confidence (that of standing orders unless said)."""

    product: Product
    week: Week
    method: Method
    stems: int
    confidence: float | None = None


@dataclass(frozen=True, slots=True)
class BackPlanned:
    """The sow dates for a week, and the last sowing of the year."""

    asked: BackPlanAsked
    level: float
    plan: BackPlan
    last: LastSowing


def plan_back(desk: Desk, asked: BackPlanAsked) -> BackPlanned:
    """When to sow for a week; where no date is sure enough the best one, and the places that would do.

    Raises:
        NotFound: the farm has no such variety.
        NotAccepted: the week is over, the kind is not started by this method, or gets too little cold before that week.
        ClimateMissing: the farm has given neither frost dates nor temperatures.
    """
    farm, today = desk.store.farm(), desk.today()
    level = asked.confidence if asked.confidence is not None else farm.site.level_of(LineClass.STANDING)
    check_level(level)
    crop = desk.plan().crops.get(asked.product.variety)
    if crop is None:
        raise NotFound(kind="variety", key=asked.product.variety)
    last_day = asked.week.monday + timedelta(days=6)
    if last_day < today:
        raise NotAccepted(where="week", found=str(asked.week), accepted=f"a week from {Week.of(today)} on")
    sowing = _sowing(farm, asked, crop)
    made = forecast([sowing], climate_of(farm), doubted_setting(farm, today, Drawing(_SEASONS, _SEED)))
    days = _in_season(farm, crop, asked.method, today, last_day)
    _check_cold(made, sowing, days)
    plan = back_plan(made, sowing, Target(asked.week.monday, last_day, asked.stems, level), days)
    return BackPlanned(asked, level, plan, _last(made, sowing, farm, crop, (today, level)))


def _sowing(farm: Farm, asked: BackPlanAsked, crop: Crop) -> Sowing:
    if asked.method is Method.ESTABLISHED:
        accepted = "a method that starts a batch"
        raise NotAccepted(where="method", found=f"'{asked.method}' of {crop.name}", accepted=accepted)
    bulbs = crop.life_cycle is LifeCycle.BULB_TUBER
    if bulbs is not (asked.method is Method.TUBER):
        raise NotAccepted(
            where="method",
            found=f"'{asked.method}' of {crop.name}",
            accepted="tuber" if bulbs else "direct, cover, heated, plugs",
        )
    planted = asked.method in (Method.PLUGS, Method.TUBER)
    return Sowing(
        key="back-plan",
        variety=asked.product.variety,
        crop=crop,
        method=asked.method,
        form=asked.product.form if asked.product.form is not None else Form.FRESH,
        status=BatchStatus.PLANNED,
        sow_date=None,
        sown=None if planted else _PLACES,
        plants=_PLACES if planted else None,
        kind=crop.kind,
        doubt=doubt_of(farm, crop),
        season=sowing_rules(farm.site, crop.life_cycle),
    )


def _check_cold(made: Forecast, sowing: Sowing, days: Sequence[date]) -> None:
    """A kind that waits for winter needs a winter that is cold enough after some day of its start."""
    if sowing.crop.cold is None or not days:
        return
    lacking = [found for day in days if (found := made.cold_lacking(sown_on(sowing, day))) is not None]
    if len(lacking) == len(days):
        nearest = max(lacking, key=lambda found: found.had)
        accepted = "a kind that needs less cold, or a week after a winter that gives as much"
        raise NotAccepted(where="product", found=cold_words(sowing.crop, nearest), accepted=accepted)


def _in_season(farm: Farm, crop: Crop, method: Method, first: date, last: date) -> tuple[date, ...]:
    rules = sowing_rules(farm.site, crop.life_cycle)
    return tuple(
        day
        for day in sow_days(first, last)
        if sowable(method, day, life_cycle=crop.life_cycle, latitude_deg=farm.site.latitude, rules=rules)
    )


def _last(made: Forecast, sowing: Sowing, farm: Farm, crop: Crop, when: tuple[date, float]) -> LastSowing:
    today, level = when
    days = _in_season(farm, crop, sowing.method, today, today + timedelta(days=_YEAR_DAYS))
    latitude = farm.site.latitude
    year = growing_year(days[0], latitude) if days else None
    return last_sowing(Starts(made, sowing), [day for day in days if growing_year(day, latitude) == year], level=level)

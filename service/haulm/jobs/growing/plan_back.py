"""Back-planning: when to sow a product for a week or a day, by a method, and the last sowing of the year."""

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
from haulm.farm.weeks import Week, cut_days_for, day_in_words, growing_year
from haulm.farm.words import BatchStatus, Form, LifeCycle, LineClass, Method
from haulm.forecast.back_plan import BackPlan, LastSowing, Starts, Target, back_plan, last_sowing, sow_days, sown_on
from haulm.forecast.inputs import Sowing
from haulm.forecast.supply import Forecast, forecast
from haulm.horticulture.sowing_windows import sowable
from haulm.jobs.desk.asked_level import check_level
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _
from haulm.planning.cold import cold_words
from haulm.planning.growth import Drawing, doubted_setting
from haulm.planning.plan import Plan

_SEASONS, _SEED = 400, 1
_PLACES = 100
_YEAR_DAYS = 364
_DAYS_LOOKED_AT = 60
_FURTHEST_DAYS = 2 * 365
"""Every third day until then is tried, so a day far off would keep everybody waiting."""
MOST_STEMS = 1_000_000


@dataclass(frozen=True, slots=True)
class BackPlanAsked:
    """Stems of a product wanted, by a method, at a confidence (that of standing orders unless said).

    Attributes:
        product: what is wanted.
        week: the week in which the stems are wanted.
        method: how it is begun.
        stems: how many of them.
        confidence: how sure it has to be; None for the farm's level of standing orders.
        day: the day of that week on which they leave: they have to be ready to cut for it. None: any day of the week.
    """

    product: Product
    week: Week
    method: Method
    stems: int
    confidence: float | None = None
    day: date | None = None


@dataclass(frozen=True, slots=True)
class BackPlanned:
    """The sow dates for a week or a day, and the last sowing of the year.

    Attributes:
        asked: what was asked.
        crop: the kind.
        level: how sure it has to be, 0-1.
        ready: the first and the last day on which the stems may become ready to cut.
        plan: the days tried, and what they give.
        last: the last sowing of the year.
    """

    asked: BackPlanAsked
    crop: Crop
    level: float
    ready: tuple[date, date]
    plan: BackPlan
    last: LastSowing


def plan_back(desk: Desk, asked: BackPlanAsked) -> BackPlanned:
    """When to sow for a week; where no date is sure enough the best one, and the places that would do.

    Raises:
        NotFound: the farm has no such variety.
        NotAccepted: the week is over or nothing can be cut for the day any more, the kind is not started by this
            method, or gets too little cold before that week.
        ClimateMissing: the farm has given neither frost dates nor temperatures.
    """
    farm, today = desk.store.farm(), desk.today()
    level = asked.confidence if asked.confidence is not None else farm.site.level_of(LineClass.STANDING)
    check_level(level)
    crop = desk.plan().crops.get(asked.product.variety)
    if crop is None:
        raise NotFound(kind=_("variety"), key=asked.product.variety)
    ready = _ready(farm, crop, asked, today)
    sowing = _sowing(farm, asked, crop)
    made = forecast([sowing], climate_of(farm), doubted_setting(farm, today, Drawing(_SEASONS, _SEED)))
    days = _in_season(farm, crop, asked.method, today, ready[1])
    _check_cold(made, sowing, days)
    plan = back_plan(made, sowing, Target(*ready, asked.stems, level), days)
    return BackPlanned(asked, crop, level, ready, plan, _last(made, sowing, farm, crop, (today, level)))


def usual_method(plan: Plan, variety: str) -> Method:
    """How a kind is begun where nobody says: as its last sowing; what was never sown as its kind is."""
    own = (batch for batch in plan.farm.batches if batch.variety == variety)
    begun = [batch for batch in own if batch.method is not Method.ESTABLISHED]
    if begun:
        return max(begun, key=lambda one: (one.sow_date or one.plant_out_date or date.min, one.key)).method
    crop = plan.crops.get(variety)
    return Method.TUBER if crop is not None and crop.life_cycle is LifeCycle.BULB_TUBER else Method.COVER


def _ready(farm: Farm, crop: Crop, asked: BackPlanAsked, today: date) -> tuple[date, date]:
    """The days on which stems may become ready, so that they serve the week or leave on the day."""
    furthest = today + timedelta(days=_FURTHEST_DAYS)
    if asked.week.monday > furthest:
        where, found = ("week", str(asked.week)) if asked.day is None else ("day", day_in_words(asked.day))
        raise NotAccepted(where=where, found=found, accepted=_("one until {day}").format(day=day_in_words(furthest)))
    if asked.day is None:
        last_day = asked.week.monday + timedelta(days=6)
        if last_day < today:
            raise NotAccepted(
                where="week", found=str(asked.week), accepted=_("a week from {week} on").format(week=Week.of(today))
            )
        return asked.week.monday, last_day
    if asked.day < today:
        raise NotAccepted(where="day", found=day_in_words(asked.day), accepted=_("a day from today on"))
    if asked.product.form is Form.DRIED:
        return today, asked.day
    cuts = _cuts(farm, crop, asked.day, today)
    if not cuts:
        later = (max(asked.day, today) + timedelta(days=step) for step in range(1, _DAYS_LOOKED_AT))
        served = next((day for day in later if _cuts(farm, crop, day, today)), None)
        accepted = (
            _("a farm with cut days")
            if served is None
            else _("{served}, which a cut day serves").format(served=day_in_words(served))
        )
        raise NotAccepted(where="day", found=day_in_words(asked.day), accepted=accepted)
    return crop.field_life.oldest(cuts[0]), cuts[-1]


def _cuts(farm: Farm, crop: Crop, due: date, today: date) -> tuple[date, ...]:
    site = farm.site
    return cut_days_for(
        due, weekdays=site.cut_weekdays, hold_days=crop.hold_days, condition_days=site.condition_days, today=today
    )


def _sowing(farm: Farm, asked: BackPlanAsked, crop: Crop) -> Sowing:
    if asked.method is Method.ESTABLISHED:
        accepted = _("a method that starts a batch")
        raise NotAccepted(
            where="method",
            found=_("'{method}' of {name}").format(method=asked.method, name=crop.name),
            accepted=accepted,
        )
    bulbs = crop.life_cycle is LifeCycle.BULB_TUBER
    if bulbs is not (asked.method is Method.TUBER):
        raise NotAccepted(
            where="method",
            found=_("'{method}' of {name}").format(method=asked.method, name=crop.name),
            accepted="tuber" if bulbs else _("direct, cover, heated, plugs"),
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
        accepted = _("a kind that needs less cold, or a week after a winter that gives as much")
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

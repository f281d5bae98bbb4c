"""GET /v1/back-plan."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query

from haulm.farm.products import Product
from haulm.farm.quantities import percent
from haulm.farm.weeks import Week, day_in_words, weeks_in_words
from haulm.farm.words import Method
from haulm.forecast.back_plan import Tried
from haulm.jobs.growing.plan_back import BackPlanAsked, BackPlanned, plan_back
from haulm.rest.reads import Confidence
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["back-planning"])


class TriedShape(Shape):
    """A sow date: the chance of the stems wanted, their mean, and what is sure at the level."""

    date: str
    confidence: float
    mean_stems: float
    sure_stems: int


class LastSowingShape(Shape):
    """The last sowing of the year: by the plain rule, by the forecast, and the more careful of the two."""

    rule: str | None
    forecast: str | None
    advised: str | None


class BackPlanShape(Shape):
    """Sow dates for a week; `earliest` and `latest` are null where no date is sure enough, `best` is the surest."""

    product: str
    week: str
    method: str
    stems: int
    confidence: float
    places: int
    earliest: TriedShape | None
    latest: TriedShape | None
    best: TriedShape | None
    places_needed: int | None
    places_needed_on: str | None
    last_sowing: LastSowingShape
    sentence: str


@router.get("/v1/back-plan", dependencies=[only_for(Audience.OWNER), kept()])
def planned_back(
    desk: TheDesk,
    product: str,
    week: str,
    method: Method,
    stems: Annotated[int, Query(ge=1, le=1_000_000)],
    confidence: Confidence = None,
) -> BackPlanShape:
    """When to sow a product for a week by a method: earliest, best and latest of every third day in season from today.

    A batch of 100 places is tried. Where no date is sure enough, `places_needed` says how many places would be.
    """
    asked = BackPlanAsked(Product.parse(product), Week.parse(week), method, stems, confidence)
    found = plan_back(desk, asked)
    plan, last = found.plan, found.last
    return BackPlanShape(
        product=product,
        week=week,
        method=method,
        stems=stems,
        confidence=found.level,
        places=plan.places,
        earliest=_tried(plan.earliest),
        latest=_tried(plan.latest),
        best=_tried(plan.best),
        places_needed=plan.places_needed,
        places_needed_on=None if plan.needed_day is None else plan.needed_day.isoformat(),
        last_sowing=LastSowingShape(
            rule=None if last.rule is None else last.rule.isoformat(),
            forecast=None if last.model is None else last.model.isoformat(),
            advised=None if last.advised is None else last.advised.isoformat(),
        ),
        sentence=_sentence(found),
    )


def _sentence(found: BackPlanned) -> str:
    plan = found.plan
    week = f"{weeks_in_words((found.asked.week,))} of {found.asked.week.year}"
    wanted = f"{found.asked.stems} stems in {week}"
    if plan.best is None:
        return f"No day from today until the end of {week} is in season for '{found.asked.method}'."
    best = day_in_words(plan.best.day)
    if plan.earliest is not None and plan.latest is not None:
        between = f"between {day_in_words(plan.earliest.day)} and {day_in_words(plan.latest.day)}"
        return (
            f"{plan.places} places started {between} give {wanted} at {percent(found.level)}; the best day is {best}."
        )
    start = f"No day gives {wanted} at {percent(found.level)} from {plan.places} places"
    if plan.places_needed is None or plan.needed_day is None:
        return (
            f"{start}, and more places would not help: the week of flower is not sure enough. The best day is {best},"
            f" {percent(plan.best.confidence)} sure; two sowings some days apart are surer than one."
        )
    return (
        f"{start}; the best day is {best}, {percent(plan.best.confidence)} sure."
        f" {plan.places_needed} places started on {day_in_words(plan.needed_day)} would do."
    )


def _tried(found: Tried | None) -> TriedShape | None:
    if found is None:
        return None
    return TriedShape(
        date=found.day.isoformat(),
        confidence=round(found.confidence, 6),
        mean_stems=round(found.mean_stems, 1),
        sure_stems=found.sure_stems,
    )

"""The combined plan as people say it: sowings with their days and beds, what they close, what stays short and why."""

from __future__ import annotations

from dataclasses import dataclass

from haulm.advice.asked_words import asked_in_words
from haulm.advice.season_plan import GapThen, PlannedSowing
from haulm.farm.weeks import day_in_words
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.names import HOW_WORDS
from haulm.jobs.gaps.plan_season import SeasonAnswer, season_plan_kept
from haulm.jobs.gaps.standing_gaps import as_of_words
from haulm.language.words import _
from haulm.planning.plan import Plan


@dataclass(frozen=True, slots=True)
class SowingInWords:
    """A sowing of the plan.

    Attributes:
        name: its kind's name.
        caution: what to mind of it, or nothing.
        day: when it is sown, or planted where nothing is sown.
        how: how many places, how it is started, and where it stands.
        serves: what it may be given to.
    """

    name: str
    caution: str
    day: str
    how: str
    serves: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GapInWords:
    """A gap of the plan: what is asked; how sure it is in the end; stems still missing; why it stays, or nothing."""

    then: GapThen
    asked: str
    confidence: float
    missing: float
    why: str


@dataclass(frozen=True, slots=True)
class SeasonPlanInWords:
    """The combined plan.

    Attributes:
        answer: how it stands.
        state: whether it is being worked out, how far, as of when the last one stands; empty where it is of now.
        sowings: what to sow, by day.
        closed: what that closes.
        open: what stays short.
        cost_minor: what the sowings cost [minor units], or None.
        currency: of the money.
    """

    answer: SeasonAnswer
    state: str
    sowings: tuple[SowingInWords, ...]
    closed: tuple[GapInWords, ...]
    open: tuple[GapInWords, ...]
    cost_minor: int | None
    currency: str


def see_season_plan(desk: Desk) -> SeasonPlanInWords:
    """The combined plan at each line's own level as it is kept. Reads only."""
    plan, answer = desk.plan(), season_plan_kept(desk)
    found, state, currency = answer.plan, _state(plan, answer), plan.farm.site.currency
    if found is None:
        return SeasonPlanInWords(answer, state, (), (), (), None, currency)
    asked = {one.gap.name: asked_in_words(one.gap.asked, plan.crops) for one in found.closed}
    closed = (GapInWords(one.gap, asked[one.gap.name], one.confidence, one.missing, "") for one in found.closed)
    still = (
        GapInWords(one.gap, asked_in_words(one.gap.asked, plan.crops), one.gap.confidence, one.gap.missing, one.reason)
        for one in found.open
    )
    sowings = (_sowing(plan, one, asked) for one in found.sowings)
    return SeasonPlanInWords(answer, state, tuple(sowings), tuple(closed), tuple(still), found.cost_minor, currency)


def _sowing(plan: Plan, one: PlannedSowing, asked: dict[str, str]) -> SowingInWords:
    batch = one.batch
    crop = plan.crops.get(batch.variety)
    bed = next((bed.name for bed in plan.farm.beds if bed.key == batch.bed), batch.bed)
    day = batch.sow_date or batch.plant_out_date
    assert day is not None, "a sowing has a day"
    out = batch.plant_out_date if batch.sow_date and batch.plant_out_date != batch.sow_date else None
    parts = [
        _("{places} places").format(places=batch.places),
        _(HOW_WORDS[batch.method]),
        *([_("for {bed}").format(bed=bed)] if bed else []),
        *([_("planted out {out}").format(out=day_in_words(out))] if out else []),
    ]
    serves = tuple(dict.fromkeys(asked[name] for name in one.may_serve))
    name, caution = (batch.variety, None) if crop is None else (crop.name, crop.caution)
    return SowingInWords(name, caution or "", day_in_words(day), ", ".join(parts), serves)


def _state(plan: Plan, answer: SeasonAnswer) -> str:
    """Whether it is being worked out, how far, and since when the last one stands."""
    since = "" if answer.as_of is None else as_of_words(answer.as_of, plan.today, plan.farm.site.timezone)
    if answer.is_pending:
        parts = [_("It is being worked out.")]
        if answer.progress is not None:
            done, of = answer.progress
            parts.append(_("{done} of {count} gaps looked at.").format(done=done, count=of))
        if since:
            parts.append(_("The plan below is {since}.").format(since=since))
        return " ".join(parts)
    if answer.is_overtaken:
        return _("Something has changed since: the plan below is {since}.").format(since=since)
    return ""

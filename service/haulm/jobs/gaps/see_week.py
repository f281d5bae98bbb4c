"""One week of a kind in words: what is ready, promised, free and short, which sowings carry it, what can be done."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from haulm.demand.dated_line import DatedLine
from haulm.demand.standing import delivery_days
from haulm.errors import NotAccepted
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.quantities import percent
from haulm.farm.weeks import Week, day_in_words
from haulm.farm.words import Form
from haulm.jobs.gaps.see_kind import SeenKind
from haulm.jobs.gaps.see_shortfalls import NamedGap
from haulm.jobs.gaps.see_year import YearRow
from haulm.jobs.growing.batch_forecast import stems_by_week
from haulm.language.words import _, many
from haulm.planning.plan import Plan
from haulm.planning.season_picture import WeekFigures, is_named


@dataclass(frozen=True, slots=True)
class Carrier:
    """A sowing that makes stems ready in a week: its stems in a poor, a middling and a good season."""

    batch: Batch
    stems: tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class KindWeek:
    """One week of a kind.

    Attributes:
        week: the week.
        figures: its figures; None where there is nothing to draw.
        sentences: what they say.
        carriers: sowings that make stems ready in it.
        lines: what is promised of the kind by name.
        gap: what is short in it; None for nothing.
        day: the first day of it on which the farm delivers, today or later.
        before, after: the weeks beside it.
    """

    week: Week
    figures: WeekFigures | None
    sentences: tuple[str, ...]
    carriers: tuple[Carrier, ...]
    lines: tuple[DatedLine, ...]
    gap: NamedGap | None
    day: date
    before: Week | None
    after: Week | None


def see_week(kind: SeenKind, row: YearRow, plan: Plan, week: Week) -> KindWeek:
    """A week of a kind in a plan, which may be a supposed one.

    Args:
        kind: the kind as the farm has it.
        row: its weeks in the plan.
        plan: the plan.
        week: which week.

    Raises:
        NotAccepted: the picture does not reach that week.
    """
    this = Week.of(plan.today)
    last = row.weeks[-1].week if row.weeks else this
    if not this <= week <= max(last, this):
        accepted = _("a week from {first} to {last}").format(
            first=day_in_words(this.monday), last=day_in_words(last.monday)
        )
        raise NotAccepted(where="week", found=day_in_words(week.monday), accepted=accepted)
    product = Product(kind.crop.key)
    figures = next((one for one in row.weeks if one.week == week), None)
    lines = (line for line in plan.result.lines if line.product == product and is_named(line))
    gap = next((one for one in kind.gaps if week in one.gap.weeks), None)
    days = [day for one in delivery_days(plan.farm) if (day := week.day(one)) >= plan.today]
    return KindWeek(
        week,
        figures,
        tuple(_said(figures, kind.level)),
        tuple(_carriers(plan, kind, week)),
        tuple(sorted((line for line in lines if Week.of(line.due) == week), key=lambda one: (one.due, one.order))),
        gap,
        min(days, default=max(plan.today, week.monday)),
        week.plus(-1) if week > this else None,
        week.plus(1) if week < last else None,
    )


def _said(figures: WeekFigures | None, level: float) -> Iterator[str]:
    if figures is None or figures.is_bare:
        yield _("Nothing of it is ready, promised or short.")
        return
    said = _("{sure} of it are sure ({level}); half of the seasons have {half}, one in ten {tenth}.")
    stems = many("{count} stem", "{count} stems", figures.sure)
    yield said.format(sure=stems, level=percent(level), half=figures.half, tenth=figures.tenth)
    promised = _("{count} are promised.").format(count=figures.promised)
    yield promised if figures.promised else _("Nothing is promised.")
    if figures.short:
        yield many("{count} is short on average.", "{count} are short on average.", max(1, round(figures.short)))
    if figures.free:
        yield many("{count} is free to promise.", "{count} are free to promise.", figures.free)
    elif not figures.short:
        yield _("None is free to promise.")


def _carriers(plan: Plan, kind: SeenKind, week: Week) -> Iterator[Carrier]:
    for one in kind.sowings:
        stems = stems_by_week(plan, one.batch.key).get(week) if one.batch.form is Form.FRESH else None
        if stems is not None and stems[2]:
            yield Carrier(one.batch, stems)

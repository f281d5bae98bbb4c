"""GET /v1/shortfalls and GET /v1/gaps/{gap}/options."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter

from haulm.advice.options.option import Option, Worth
from haulm.advice.shortfalls import Shortfall
from haulm.demand.dated_line import DatedLine
from haulm.farm.moments import moment_text
from haulm.farm_folder.cells import values_of
from haulm.jobs.desk.level_words import levels_in_words
from haulm.jobs.gaps.beyond_words import beyond_words
from haulm.jobs.gaps.close_gap import gap_options, list_shortfalls
from haulm.jobs.gaps.standing_gaps import DatedGap, days_written
from haulm.planning.why_unsure import faces_of, lines_of_gap
from haulm.rest.faces_shapes import CauseShape, FacesShape, cause_shapes, faces_shape
from haulm.rest.reads import Confidence
from haulm.rest.row_schemas import BatchToSow
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["shortfalls"])


class ShortfallShape(Shape):
    """A line that is less sure than its level."""

    line: str
    order: str
    customer: str
    product: str | None
    choice: str | None
    due: str
    stems: int
    expected_missing: float
    confidence: float
    level: float
    decide_by: str | None
    pending: bool
    gap: str


class GapShape(Shape):
    """A product, or a choice, that is short over consecutive weeks, under the name that it keeps while its lines last.

    `decide_by` is the day for the next step of what is recommended; `last_chance` the last day on which a sowing, a
    planting, a cut or own stock closes it, `last_way` that for a swap, a stand-in or buying in, null where there is
    none; `tell_by` the last day to tell whoever is short. They stand as they were worked out at `as_of`; `pending`
    where they are still to be worked out for the farm as it is now, and all null until they first are. `split_from` is
    the gap that it was a part of, `merged` are gaps that have become part of it.
    """

    gap: str
    product: str
    weeks: list[str]
    missing: float
    confidence: float
    decide_by: str | None
    last_chance: str | None
    last_way: str | None
    tell_by: str | None
    pending: bool
    as_of: str | None
    lines: list[str]
    split_from: str | None
    merged: list[str]


class ShortfallsShape(Shape):
    """What is short, by the day to decide.

    `confidence` is the one asked of every line, null where each is held to its own; `levels` says it in words.
    """

    confidence: float | None
    levels: str
    shortfalls: list[ShortfallShape]
    gaps: list[GapShape]
    forecast_missing: str | None


class AskedLineShape(Shape):
    """A line whose customer is offered something else, swaps, or is asked to do without."""

    line: str
    order: str
    customer: str
    due: str
    stems: int


class WorthShape(Shape):
    """What an option costs for what it gives: money in minor units, stems on average.

    `net_minor` is all that it costs less what its surplus may bring; `gained_minor` what the promises it keeps are sold
    for.
    """

    spent_minor: int
    place_minor: int
    work_minor: int
    surplus_stems: int
    surplus_minor: int
    net_minor: int
    gained_stems: float
    gained_minor: int


class OptionShape(Shape):
    """One way to close a gap. Each of `batches` can be posted to /v1/batches as it is; `batch` is a single one's.

    `order_by` and `sow_by` are the days of a sowing, `act_by` the first of them that is to be kept, else `decide_by`;
    `at_home` says that all it needs is ticked as at home or ordered, so that nothing has to be ordered.
    `product` is the substitute, the quicker kind, or the dried product; `lines` are those whose customers are asked;
    `cut_days` are the extra days to cut on.
    """

    kind: str
    sentence: str
    act_by: str
    order_by: str | None
    sow_by: str | None
    at_home: bool
    decide_by: str
    closes: bool
    confidence_before: float
    confidence_after: float | None
    missing_before: float
    missing_after: float | None
    cost_minor: int | None
    worth: WorthShape | None
    is_in_proportion: bool
    batch: BatchToSow | None
    batches: list[BatchToSow]
    product: str | None
    lines: list[AskedLineShape]
    cut_days: list[str]


class OptionsShape(Shape):
    """The options of a gap, the recommended one first, as they were worked out at `as_of`.

    `pending` where they are still to be worked out for the farm as it is now; none, and `as_of` null, until they first
    are. `why_open` says why no sowing closes it, null where one does; `faces` and `causes` how its lines fare together,
    and why they are no surer; `beyond` what the recommended one also closes, whom it makes less sure and what it has no
    room beside.
    """

    gap: str
    currency: str
    pending: bool
    as_of: str | None
    why_open: str | None
    faces: FacesShape
    causes: list[CauseShape]
    beyond: list[str]
    options: list[OptionShape]


@router.get("/v1/shortfalls", dependencies=[only_for(Audience.OWNER), kept(days_written)])
def shortfalls(desk: TheDesk, confidence: Confidence = None) -> ShortfallsShape:
    """The lines less sure than the confidence asked, else than their own level; their gaps, by the day to decide."""
    gaps = list_shortfalls(desk, confidence)
    plan = desk.plan()
    missing = plan.growth.missing
    return ShortfallsShape(
        confidence=confidence,
        levels=levels_in_words(plan.farm.site, confidence),
        shortfalls=[_shortfall(short, dated) for dated in gaps for short in dated.gap.shortfalls],
        gaps=[_gap(dated) for dated in gaps],
        forecast_missing=None if missing is None else missing.sentence,
    )


@router.get("/v1/gaps/{gap}/options", dependencies=[only_for(Audience.OWNER), kept(days_written)])
def options(desk: TheDesk, gap: str, confidence: Confidence = None) -> OptionsShape:
    """What can still close a gap, each sowing proved by matching the farm again with it."""
    found = gap_options(desk, gap, confidence)
    as_of = None if found.gap.kept_as is None or found.ways is None else found.gap.as_of
    return OptionsShape(
        gap=found.gap.gap.key,
        currency=desk.store.farm().site.currency,
        pending=found.is_pending,
        as_of=None if as_of is None else moment_text(as_of),
        why_open=None if found.ways is None else found.ways.why_open,
        faces=faces_shape(faces_of(desk.plan(), lines_of_gap(found.gap.gap))),
        causes=[] if found.ways is None else cause_shapes(found.ways.causes),
        beyond=list(beyond_words(desk, desk.plan(), found)),
        options=[option_shape(option) for option in found.options],
    )


def option_shape(option: Option) -> OptionShape:
    """An option as it is sent."""
    batches = [values_of("batches", batch) for batch in option.batches]
    return OptionShape(
        kind=option.kind,
        sentence=option.sentence,
        act_by=option.act_by.isoformat(),
        order_by=None if option.order_by is None else option.order_by.isoformat(),
        sow_by=None if option.sow_by is None else option.sow_by.isoformat(),
        at_home=option.at_home,
        decide_by=option.decide_by.isoformat(),
        closes=option.closes,
        confidence_before=round(option.before.confidence, 6),
        confidence_after=None if option.after is None else round(option.after.confidence, 6),
        missing_before=round(option.before.missing, 2),
        missing_after=None if option.after is None else round(option.after.missing, 2),
        cost_minor=option.cost_minor,
        worth=None if option.worth is None else _worth(option.worth),
        is_in_proportion=option.is_in_proportion,
        batch=batches[0] if len(batches) == 1 else None,
        batches=batches,
        product=None if option.product is None else str(option.product),
        lines=[_asked(line) for line in option.lines],
        cut_days=[day.isoformat() for day in option.cut_days],
    )


def _worth(worth: Worth) -> WorthShape:
    return WorthShape(
        spent_minor=worth.spent_minor,
        place_minor=worth.place_minor,
        work_minor=worth.work_minor,
        surplus_stems=worth.surplus_stems,
        surplus_minor=worth.surplus_minor,
        net_minor=worth.net_minor,
        gained_stems=round(worth.gained_stems, 2),
        gained_minor=worth.gained_minor,
    )


def _asked(line: DatedLine) -> AskedLineShape:
    return AskedLineShape(
        line=line.line, order=line.order, customer=line.customer, due=line.due.isoformat(), stems=line.stems
    )


def _shortfall(short: Shortfall, dated: DatedGap) -> ShortfallShape:
    line = short.line
    return ShortfallShape(
        line=line.line,
        order=line.order,
        customer=line.customer,
        product=None if line.product is None else str(line.product),
        choice=None if line.choice is None else str(line.choice),
        due=line.due.isoformat(),
        stems=line.stems,
        expected_missing=round(short.expected_missing, 2),
        confidence=round(short.confidence, 6),
        level=short.level,
        decide_by=_iso(dated.decide_by),
        pending=dated.is_pending,
        gap=short.gap,
    )


def _gap(dated: DatedGap) -> GapShape:
    gap, days = dated.gap, dated.days
    return GapShape(
        gap=gap.key,
        product=gap.asked,
        weeks=[str(week) for week in gap.weeks],
        missing=round(gap.expected_missing, 2),
        confidence=round(gap.confidence, 6),
        decide_by=_iso(dated.decide_by),
        last_chance=None if days is None else _iso(days.last_chance),
        last_way=None if days is None else _iso(days.last_way),
        tell_by=None if days is None else _iso(days.tell_by),
        pending=dated.is_pending,
        as_of=None if dated.as_of is None else moment_text(dated.as_of),
        lines=sorted({short.line.line for short in gap.shortfalls}),
        split_from=dated.split_from,
        merged=list(dated.merged),
    )


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()

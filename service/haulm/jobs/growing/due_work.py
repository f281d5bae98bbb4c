"""What is due on the farm whoever asked for it: sowing, trays, planting, what to count, holds; in words, gathered.

The same words stand in the calendar, which has a day for each batch, on Today, which gathers what is done together by
how it is sown and by the bed it goes into, and in the letter, which gathers it by its day.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum

from haulm.advice.room import plant_out_day
from haulm.farm.batches import Batch
from haulm.farm.orders import Order
from haulm.farm.varieties import Crop
from haulm.farm.weeks import day_in_words
from haulm.farm.words import BatchStatus, LineClass, Method, OrderKind, OrderStatus
from haulm.jobs.growing.label_sowings import FROM_TRAYS
from haulm.jobs.growing.short_jobs import ShortJob, Sort, listed
from haulm.jobs.growing.tray_days import tray_days
from haulm.language.words import _, marked, one_or_more
from haulm.planning.plan import Plan
from haulm.planning.resowing import thin_trays
from haulm.planning.thin_tray import ThinTray

AHEAD = timedelta(days=7)
"""So far ahead the farm's work is told."""
_MOST_NAMED = 6
_ORDERS = {OrderKind.WEDDING: marked("the wedding"), OrderKind.ONE_OFF: marked("the one-off order")}
_HOW = {
    Method.HEATED: (marked("sow {} with heat"), marked("Sow with heat")),
    Method.COVER: (marked("sow {} under cover"), marked("Sow under cover")),
    Method.DIRECT: (marked("sow {} where they stay"), marked("Sow where they stay")),
    Method.PLUGS: (marked("plant bought plugs of {}"), marked("Plant bought plugs")),
    Method.TUBER: (marked("plant bulbs or tubers of {}"), marked("Plant bulbs or tubers")),
    Method.ESTABLISHED: (marked("plant {}"), marked("Plant")),
}
"""What to do, with a place for the name, and how a list of such work begins."""
_PLANTED = (Method.PLUGS, Method.TUBER, Method.ESTABLISHED)
assert set(_HOW) == set(Method), "every method has words"


class Work(StrEnum):
    """Sorts of work."""

    SOW = "sow"
    POT = "pot"
    HARDEN = "harden"
    PLANT = "plant"
    RESOW = "resow"
    OVERDUE = "overdue"
    COUNT = "count"
    HOLD = "hold"
    ANSWER = "answer"


_DOES = {
    Work.POT: (marked("pot on {} if roots fill the cells"), marked("Pot on if roots fill the cells")),
    Work.HARDEN: (marked("harden off {}"), marked("Harden off")),
}
_SAYS = {
    Work.OVERDUE: marked("Overdue: write down as sown, or it counts for nothing"),
    Work.COUNT: marked("Should be mostly up by now: count, or write down what you see"),
}
_SORTS = {
    Work.SOW: Sort.SOW,
    Work.POT: Sort.POT,
    Work.HARDEN: Sort.HARDEN,
    Work.PLANT: Sort.PLANT,
    Work.HOLD: Sort.HOLD,
}
"""Work that has a day of its own, by its sort."""


@dataclass(frozen=True, slots=True)
class Due:
    """One piece of work.

    Attributes:
        work: its sort.
        about: key of the batch or the order it is about; never shown.
        day: its day, the first where it takes several.
        does: what to do, with a place for the name: `sow {} under cover`.
        what: the kind, and how much of it; empty where `does` says all.
        last: its last day.
        state: what it says beyond that; another state is news.
        head: how its sentence begins, before what it is about; empty where that is `does`.
        is_planted: whether what begins is planted and not sown.
    """

    work: Work
    about: str
    day: date
    does: str
    what: str
    last: date | None = None
    state: str = ""
    head: str = ""
    is_planted: bool = False

    @property
    def token(self) -> str:
        """What it is, so that it is not told twice."""
        return " ".join(filter(None, (self.work, self.about, self.state)))

    @property
    def start(self) -> str:
        """How its sentence begins, before what it is about; what begins alike is gathered."""
        said = self.head or self.does
        return f"{said[0].upper()}{said[1:]}"

    @property
    def short(self) -> ShortJob | None:
        """The same in few words; None of what has no day of its own."""
        sort = _SORTS.get(self.work)
        if sort is None:
            return None
        return ShortJob(self.day, Sort.PLANT if self.is_planted else sort, self.does, self.what)

    @property
    def sentence(self) -> str:
        """It alone, without a full stop."""
        return f"{self.start}: {self.what}" if self.what else self.start


@dataclass(frozen=True, slots=True)
class Task:
    """Work that is done together: the first day, all of it in one sentence, and what of it is known by."""

    day: date
    sentence: str
    tokens: tuple[str, ...] = ()
    work: Work = field(default=Work.SOW)


def field_work(plan: Plan) -> Iterator[Due]:
    """Sowing, potting on, hardening off and planting out of every batch that waits for it; in no order."""
    beds = {bed.key: bed.name for bed in plan.farm.beds}
    for batch in plan.growth.seen.batches:
        if batch.sow_date is None or batch.status not in (BatchStatus.PLANNED, BatchStatus.SOWN):
            continue
        crop = plan.crops[batch.variety]
        if batch.status is BatchStatus.PLANNED:
            does, head = map(_, _HOW[batch.method])
            is_planted = batch.method in _PLANTED
            amount = _amount(batch, crop)
            yield Due(Work.SOW, batch.key, batch.sow_date, does, amount, head=head, is_planted=is_planted)
        if batch.method in FROM_TRAYS:
            yield from _from_tray(batch, crop, beds.get(batch.bed or "", ""))


def due_soon(plan: Plan) -> Iterator[Due]:
    """What is due in the coming week, what should have been done, and what waits for a look; in no order."""
    sown = {batch.key for batch in plan.growth.seen.batches if batch.status is BatchStatus.SOWN}
    for found in field_work(plan):
        if plan.today <= found.day <= plan.today + AHEAD and (found.work is Work.SOW or found.about in sown):
            yield found
    yield from _overdue(plan)
    for tray in thin_trays(plan, plan.farm.site.level_of(LineClass.STANDING)):
        yield _look(plan, tray)
    yield from _holds(plan)


def gathered(due: Iterable[Due]) -> tuple[Task, ...]:
    """Work gathered into sentences, by day: what begins alike is said once, other days with their names."""
    starts: dict[tuple[Work, str], list[Due]] = {}
    for found in sorted(due, key=lambda one: (one.day, one.start, one.what, one.about)):
        starts.setdefault((found.work, found.start), []).append(found)
    tasks = [_task(parts) for parts in starts.values()]
    return tuple(sorted(tasks, key=lambda task: (task.day, list(Work).index(task.work), task.sentence)))


def order_in_words(order: Order) -> str:
    """An order without its key and its customer: `the wedding that leaves on Fri 13 Aug 2027`."""
    return _("{order} that leaves on {day}").format(
        order=_(_ORDERS.get(order.kind, marked("the order"))), day=day_in_words(order.due_date)
    )


def hold_in_words(order: Order) -> str:
    """That a hold ends."""
    return _("The hold on {order} lets go at the end of the day").format(order=order_in_words(order))


def _task(parts: list[Due]) -> Task:
    first = parts[0]
    tokens = tuple(sorted({part.token for part in parts}))
    if not first.what:
        return Task(first.day, f"{first.start}.", tokens, first.work)
    names: dict[date, list[str]] = {}
    for part in parts[:_MOST_NAMED]:
        names.setdefault(part.day, []).append(part.what)
    days = [
        listed(whats)
        if first.work is Work.COUNT or day == first.day
        else _("on {day} {names}").format(day=day_in_words(day), names=listed(whats))
        for day, whats in names.items()
    ]
    more = len(parts) - _MOST_NAMED
    if more > 0:
        days.append(_("and {more} more").format(more=more))
    said = "; ".join(days)
    return Task(first.day, f"{first.start}: {said}.", tokens, first.work)


def _amount(batch: Batch, crop: Crop) -> str:
    return _("{name} ({places} places)").format(name=crop.name, places=batch.places) if batch.places else crop.name


def _from_tray(batch: Batch, crop: Crop, bed: str) -> Iterator[Due]:
    """From the tray into the ground."""
    assert batch.sow_date is not None, "only dated batches have days"
    days = tray_days(batch.method, crop, batch.sow_date, plant_out_day(batch, crop, batch.sow_date))
    if days.pot_on is not None:
        does, head = map(_, _DOES[Work.POT])
        yield Due(Work.POT, batch.key, days.pot_on, does, crop.name, head=head)
    if days.harden is not None:
        last = days.plant_out - timedelta(days=1)
        does, head = map(_, _DOES[Work.HARDEN])
        yield Due(Work.HARDEN, batch.key, days.harden, does, crop.name, last, head=head)
    does = _("plant {{}} out into {bed}").format(bed=bed) if bed else _("plant {} out")
    head = _("Plant out into {bed}").format(bed=bed) if bed else _("Plant out")
    yield Due(Work.PLANT, batch.key, days.plant_out, does, _amount(batch, crop), head=head)


def _overdue(plan: Plan) -> Iterator[Due]:
    for batch in plan.growth.seen.batches:
        if batch.status is BatchStatus.PLANNED and batch.sow_date is not None and batch.sow_date < plan.today:
            what = _("{amount}, due {sow_date}").format(
                amount=_amount(batch, plan.crops[batch.variety]), sow_date=day_in_words(batch.sow_date)
            )
            yield Due(Work.OVERDUE, batch.key, plan.today, _(_SAYS[Work.OVERDUE]), what)


def _look(plan: Plan, tray: ThinTray) -> Due:
    batch = tray.batch
    name = sown_in_words(batch, plan.crops[batch.variety])
    if tray.advice is None:
        return Due(Work.COUNT, batch.key, plan.today, _(_SAYS[Work.COUNT]), name)
    said = tray_sentence(tray, name)
    return Due(Work.RESOW, batch.key, plan.today, said.rstrip("."), "", state=said)


def sown_in_words(batch: Batch, crop: Crop) -> str:
    """A batch by its kind and its day: `Cosmos sown Tue 20 Apr 2027`."""
    return (
        crop.name
        if batch.sow_date is None
        else _("{name} sown {sow_date}").format(name=crop.name, sow_date=day_in_words(batch.sow_date))
    )


def tray_sentence(tray: ThinTray, name: str) -> str:
    """What to do about a tray that is late, or has come up thin; nothing is written off."""
    advice = tray.advice
    if advice is None:
        return _("Look at {name}: most trays are up by {check_on}. Count it, or record what you see.").format(
            name=name, check_on=day_in_words(tray.check_on)
        )
    start = _("{name}: {up} places are up, {places_short} more would have to be sown.").format(
        name=name, up=tray.up, places_short=advice.places_short
    )
    if advice.is_too_late:
        return _(
            "{start} No new sowing saves what is promised of it: tell the customers in time, or find other stems."
        ).format(start=start)
    if advice.by is None:
        return _("{start} It is too late in the year to sow again.").format(start=start)
    lost = sum(day is None for day in advice.by_line.values())
    again = (
        _("{start} Sow again by {by} to keep what is promised of it.")
        if advice.by_line
        else _("{start} Sow again by {by} to flower before frost.")
    ).format(start=start, by=day_in_words(advice.by))
    if not lost:
        return again
    past = one_or_more("{lost} of its lines is past saving.", "{lost} of its lines are past saving.", lost)
    return f"{again} {past.format(lost=lost)}"


def _holds(plan: Plan) -> Iterator[Due]:
    for order in plan.farm.orders:
        until = order.hold_until if order.status is OrderStatus.ON_HOLD else None
        if until is not None and plan.today <= until <= plan.today + AHEAD:
            said = hold_in_words(order)
            yield Due(Work.HOLD, order.key, until, f"{said[0].lower()}{said[1:]}", "")

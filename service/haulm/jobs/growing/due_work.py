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
from haulm.planning.plan import Plan
from haulm.planning.resowing import thin_trays
from haulm.planning.thin_tray import ThinTray

AHEAD = timedelta(days=7)
"""So far ahead the farm's work is told."""
_MOST_NAMED = 6
_ORDERS = {OrderKind.WEDDING: "the wedding", OrderKind.ONE_OFF: "the one-off order"}
_HOW = {
    Method.HEATED: "sow {} with heat",
    Method.COVER: "sow {} under cover",
    Method.DIRECT: "sow {} where they stay",
    Method.PLUGS: "plant bought plugs of {}",
    Method.TUBER: "plant bulbs or tubers of {}",
    Method.ESTABLISHED: "plant {}",
}
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
    Work.POT: "pot on {} if roots fill the cells",
    Work.HARDEN: "harden off {}",
    Work.OVERDUE: "Overdue: write down as sown, or it counts for nothing",
    Work.COUNT: "Should be mostly up by now: count, or write down what you see",
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
    """

    work: Work
    about: str
    day: date
    does: str
    what: str
    last: date | None = None
    state: str = ""

    @property
    def token(self) -> str:
        """What it is, so that it is not told twice."""
        return " ".join(filter(None, (self.work, self.about, self.state)))

    @property
    def start(self) -> str:
        """How its sentence begins, before what it is about; what begins alike is gathered."""
        said = self.does.replace(" of {}", "").replace(" {}", "", 1)
        return f"{said[0].upper()}{said[1:]}"

    @property
    def short(self) -> ShortJob | None:
        """The same in few words; None of what has no day of its own."""
        sort = _SORTS.get(self.work)
        if sort is None:
            return None
        is_planted = self.does.startswith("plant")
        return ShortJob(self.day, Sort.PLANT if is_planted else sort, self.does, self.what)

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
            yield Due(Work.SOW, batch.key, batch.sow_date, _HOW[batch.method], _amount(batch, crop))
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
    return f"{_ORDERS.get(order.kind, 'the order')} that leaves on {day_in_words(order.due_date)}"


def hold_in_words(order: Order) -> str:
    """That a hold ends."""
    return f"The hold on {order_in_words(order)} lets go at the end of the day"


def _task(parts: list[Due]) -> Task:
    first = parts[0]
    tokens = tuple(sorted({part.token for part in parts}))
    if not first.what:
        return Task(first.day, f"{first.start}.", tokens, first.work)
    names: dict[date, list[str]] = {}
    for part in parts[:_MOST_NAMED]:
        names.setdefault(part.day, []).append(part.what)
    days = [
        listed(whats) if first.work is Work.COUNT or day == first.day else f"on {day_in_words(day)} {listed(whats)}"
        for day, whats in names.items()
    ]
    more = len(parts) - _MOST_NAMED
    said = "; ".join(days) + (f"; and {more} more" if more > 0 else "")
    return Task(first.day, f"{first.start}: {said}.", tokens, first.work)


def _amount(batch: Batch, crop: Crop) -> str:
    return f"{crop.name} ({batch.places} places)" if batch.places else crop.name


def _from_tray(batch: Batch, crop: Crop, bed: str) -> Iterator[Due]:
    """From the tray into the ground."""
    assert batch.sow_date is not None, "only dated batches have days"
    days = tray_days(batch.method, crop, batch.sow_date, plant_out_day(batch, crop, batch.sow_date))
    if days.pot_on is not None:
        yield Due(Work.POT, batch.key, days.pot_on, _DOES[Work.POT], crop.name)
    if days.harden is not None:
        last = days.plant_out - timedelta(days=1)
        yield Due(Work.HARDEN, batch.key, days.harden, _DOES[Work.HARDEN], crop.name, last)
    does = f"plant {{}} out into {bed}" if bed else "plant {} out"
    yield Due(Work.PLANT, batch.key, days.plant_out, does, _amount(batch, crop))


def _overdue(plan: Plan) -> Iterator[Due]:
    for batch in plan.growth.seen.batches:
        if batch.status is BatchStatus.PLANNED and batch.sow_date is not None and batch.sow_date < plan.today:
            what = f"{_amount(batch, plan.crops[batch.variety])}, due {day_in_words(batch.sow_date)}"
            yield Due(Work.OVERDUE, batch.key, plan.today, _DOES[Work.OVERDUE], what)


def _look(plan: Plan, tray: ThinTray) -> Due:
    batch = tray.batch
    name = sown_in_words(batch, plan.crops[batch.variety])
    if tray.advice is None:
        return Due(Work.COUNT, batch.key, plan.today, _DOES[Work.COUNT], name)
    said = tray_sentence(tray, name)
    return Due(Work.RESOW, batch.key, plan.today, said.rstrip("."), "", state=said)


def sown_in_words(batch: Batch, crop: Crop) -> str:
    """A batch by its kind and its day: `Cosmos sown Tue 20 Apr 2027`."""
    return crop.name if batch.sow_date is None else f"{crop.name} sown {day_in_words(batch.sow_date)}"


def tray_sentence(tray: ThinTray, name: str) -> str:
    """What to do about a tray that is late, or has come up thin; nothing is written off."""
    advice = tray.advice
    if advice is None:
        return f"Look at {name}: most trays are up by {day_in_words(tray.check_on)}. Count it, or record what you see."
    start = f"{name}: {tray.up} places are up, {advice.places_short} more would have to be sown."
    if advice.is_too_late:
        return f"{start} No new sowing saves what is promised of it: tell the customers in time, or find other stems."
    if advice.by is None:
        return f"{start} It is too late in the year to sow again."
    lost = sum(day is None for day in advice.by_line.values())
    saved = "to keep what is promised of it" if advice.by_line else "to flower before frost"
    past = f" {lost} of its lines {'is' if lost == 1 else 'are'} past saving." if lost else ""
    return f"{start} Sow again by {day_in_words(advice.by)} {saved}.{past}"


def _holds(plan: Plan) -> Iterator[Due]:
    for order in plan.farm.orders:
        until = order.hold_until if order.status is OrderStatus.ON_HOLD else None
        if until is not None and plan.today <= until <= plan.today + AHEAD:
            said = hold_in_words(order)
            yield Due(Work.HOLD, order.key, until, f"{said[0].lower()}{said[1:]}", "")

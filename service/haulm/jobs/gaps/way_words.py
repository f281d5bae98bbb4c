"""What a way to close a gap asks of the farm, short and without anybody's name; whom it is for, with names."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from haulm.advice.asked_words import asked_in_words
from haulm.advice.options.option import Option
from haulm.advice.shortfalls import Gap
from haulm.advice.waiting import share_in_words
from haulm.farm.batches import Batch
from haulm.farm.quantities import up_to_ten
from haulm.farm.weeks import Week, day_in_words, weeks_in_words
from haulm.farm.words import Method
from haulm.jobs.growing.short_jobs import ShortJob, Sort, listed
from haulm.language.words import _, marked, one_or_more
from haulm.planning.plan import Plan

_ASKS = {
    "swap": marked("ask {people} for a swap that gives {asked}"),
    "substitute": marked("offer {people} something else for {asked}"),
    "ask_later": marked("ask {people} to do without {asked}"),
    "more_of_one": marked("ask {people} whether one kind may fill more than half of {asked}"),
    "tell": marked("tell {people} that {asked} may be short, and offer something else"),
}
"""Ways that are asked of customers; who they are stands on the page."""
_SPOKEN = 10
_NAMED = 2
"""Gaps that a job in few words names."""
_TRAYS = {0.5: marked("half a tray"), 1.0: marked("one tray"), 2.0: marked("two trays"), 3.0: marked("three trays")}
_SOW = {
    Method.HEATED: marked("sow {amount} of {name} with heat"),
    Method.COVER: marked("sow {amount} of {name} under cover"),
    Method.DIRECT: marked("sow {amount} of {name} where they stay"),
}
_ORDER = {
    Method.HEATED: marked("order {parts}, to sow with heat"),
    Method.COVER: marked("order {parts}, to sow under cover"),
    Method.DIRECT: marked("order {parts}, to sow where they stay"),
}


def way_in_words(plan: Plan, gap: Gap, way: Option) -> str:
    """What to do, as a sentence goes on: `sow one tray of zinnia under cover`; no day, and no name of a customer."""
    if way.batches:
        return _sowing(plan, way)
    asked = asked_in_words(gap.asked, plan.crops)
    if way.kind in _ASKS or way.lines:
        return _asked_of(gap, way, asked)
    said = way.sentence.partition(": ")[0].rstrip(".")
    return said[0].lower() + said[1:]


def _asked_of(gap: Gap, way: Option, asked: str) -> str:
    """What customers are asked: `offer 2 customers something else for Zinnia`."""
    lines = way.lines or tuple(short.line for short in gap.shortfalls)
    count = len({line.customer for line in lines})
    people = _("a customer") if count == 1 else _("{count} customers").format(count=count)
    said = _(_ASKS[way.kind]) if way.kind in _ASKS else _("ask {people} about {asked}")
    return said.format(people=people, asked=asked)


def brief_way(plan: Plan, gap: Gap, way: Option) -> str:
    """The same as short as it is when its day has passed: `order seed of zinnia`."""
    if not way.batches:
        return way_in_words(plan, gap, way)
    names = listed(plan.crops[batch.variety].name for batch in way.batches)
    if way.order_by is None or way.at_home:
        is_planted = all(batch.method in (Method.PLUGS, Method.TUBER) for batch in way.batches)
        return (_("plant {names}") if is_planted else _("sow {names}")).format(names=names)
    return _("order {what} of {names}").format(
        what=listed(_begun_from(plan, batch) for batch in way.batches), names=names
    )


@dataclass(frozen=True, slots=True)
class ShortWay:
    """A way in few words: its sort, what to do with a place for the name, the name, and how much of it."""

    sort: Sort
    does: str
    name: str
    amount: str = ""

    def facts(self) -> list[str]:
        """It as it is kept."""
        return [self.sort, self.does, self.name, self.amount]

    @classmethod
    def of(cls, kept: Sequence[str]) -> ShortWay:
        """It as it was kept."""
        sort, *words = kept
        return cls(Sort(sort), *words)

    def job(self, day: date, does_for: str) -> ShortJob:
        """It as a job: its last day, and what it does for whom."""
        said = ", ".join(part for part in (self.amount, does_for) if part)
        return ShortJob(day, self.sort, self.does, f"{self.name} ({said})".strip(), self.name)


def short_way(plan: Plan, gap: Gap, way: Option) -> ShortWay:
    """A way in few words: `order seed of {}`, Zinnia, one tray."""
    if way.batches:
        return _short_sowing(plan, way)
    asked = asked_in_words(gap.asked, plan.crops)
    if way.kind == "buy_in":
        return ShortWay(
            Sort.ASK,
            _("ask another grower for {}"),
            asked,
            _("{count} stems").format(count=f"{gap.expected_missing:.0f}"),
        )
    if way.kind in _ASKS or way.lines:
        return ShortWay(Sort.ASK, _asked_of(gap, way, "{}"), asked)
    return ShortWay(Sort.FIELD, f"{way_in_words(plan, gap, way)} {{}}", "")


def _short_sowing(plan: Plan, way: Option) -> ShortWay:
    amounts: dict[str, list[Batch]] = {}
    for batch in way.batches:
        amounts.setdefault(plan.crops[batch.variety].name, []).append(batch)
    is_ordered = way.order_by is not None and not way.at_home
    is_planted = all(batch.method in (Method.PLUGS, Method.TUBER) for batch in way.batches)
    does, sort = (_("plant {}"), Sort.PLANT) if is_planted else (_("sow {}"), Sort.SOW)
    if is_ordered:
        does, sort = (
            _("order {what} of {{}}").format(what=listed(_begun_from(plan, batch) for batch in way.batches)),
            Sort.ORDER,
        )
    if len(amounts) == 1:
        ((name, batches),) = amounts.items()
        return ShortWay(sort, does, name, _amounts(batches))
    return ShortWay(sort, does, listed(f"{name}, {_amounts(batches)}" for name, batches in amounts.items()))


def _begun_from(plan: Plan, batch: Batch) -> str:
    """What a batch is begun from: plugs, seed, or what is planted of its kind."""
    if batch.method is Method.TUBER:
        return plan.crops[batch.variety].costs.several_planted
    return _("plugs") if batch.method is Method.PLUGS else _("seed")


def what_it_does(gaps: Iterable[tuple[str, tuple[Week, ...], float]], what: str) -> str:
    """What a way does for gaps: `closes Zinnia, weeks 30 to 32, and half of white filler, week 33`.

    Args:
        gaps: what is asked in words, the weeks, and the share of what is lacking that is closed, 0-1.
        what: what is done; a kind that it names is not named again.
    """
    parts = [_closed(asked, weeks, share, what) for asked, weeks, share in gaps]
    return _("closes {gaps}").format(gaps=listed(parts))


def whose_in_words(plan: Plan, gaps: Iterable[tuple[Gap, float]]) -> str:
    """Whom a way is for, by name: `Quillbeck weeks 30 to 32, half of Marrowick week 33`."""
    names = {customer.key: customer.name for customer in plan.farm.customers}
    said = []
    for gap, share in gaps:
        weeks: dict[str, list[Week]] = {}
        for short in gap.shortfalls:
            weeks.setdefault(short.line.customer, []).append(Week.of(short.line.due))
        for customer, found in weeks.items():
            whose = f"{names.get(customer, customer)} {weeks_in_words(sorted(set(found)))}"
            said.append(_part_of(whose, share) if share > 0.0 else whose)
    return listed(said)


@dataclass(frozen=True, slots=True)
class Missed:
    """A day that has passed: what was to be done by it, in full and in brief."""

    what: str
    briefly: str
    day: date


def missed_in_words(missed: Missed, way: str, by: date, share: float) -> str:
    """That a day has passed, and what is left: `by Mon 10 May 2027 you can still ..., which closes half of it`."""
    start = _("The day to {briefly} passed on {day}").format(briefly=missed.briefly, day=day_in_words(missed.day))
    if missed.what == way:
        return _("{start}: do it by {by}.").format(start=start, by=day_in_words(by))
    if share <= 0.0:
        said = _("{start}; by {by} you can still {way}.")
    elif share >= 1.0:
        said = _("{start}; by {by} you can still {way}, which closes it.")
    else:
        said = _("{start}; by {by} you can still {way}, which closes {share} of it.")
    return said.format(start=start, by=day_in_words(by), way=way, share=share_in_words(share))


def briefly_for(gaps: Sequence[tuple[str, tuple[Week, ...], float]], *, name: str) -> str:
    """What a way does in few words: `for half of white filler, weeks 33 to 38, and for Ammi, week 34`.

    Args:
        gaps: what is asked in words, the weeks, and the share of what is lacking that it gives, 0-1 (nought: nobody
            can say), its own gap first; of the others the first is named.
        name: what is sown or asked; where that is what is asked, it is not named again.
    """
    parts = [_closed(asked, weeks, share if share > 0.0 else 1.0, name) for asked, weeks, share in gaps]
    first = parts[0] if gaps[0][0] in name else _("for {gap}").format(gap=parts[0])
    said = [first, *(_("and for {gap}").format(gap=part) for part in parts[1:_NAMED])]
    if len(parts) > _NAMED:
        more = len(parts) - _NAMED
        count = up_to_ten(more) if more <= _SPOKEN else more
        said.append(one_or_more("and {count} other gap", "and {count} other gaps", more).format(count=count))
    return ", ".join(said)


def _closed(asked: str, weeks: tuple[Week, ...], share: float, what: str) -> str:
    known = "" if asked in what else f"{asked}, "
    return _part_of(f"{known}{weeks_in_words(weeks)}", share)


def _part_of(what: str, share: float) -> str:
    return what if share >= 1.0 else _("{share} of {what}").format(share=share_in_words(share), what=what)


def _sowing(plan: Plan, way: Option) -> str:
    if way.order_by is None or way.at_home:
        return "; ".join(_begun(plan, batch) for batch in way.batches)
    parts = [_ordered(plan, batch) for batch in way.batches]
    is_planted = all(batch.method in (Method.PLUGS, Method.TUBER) for batch in way.batches)
    message = _("order {parts}, to plant") if is_planted else _("order {parts}, to sow")
    if len(way.batches) == 1 and way.batches[0].method in _ORDER:
        message = _(_ORDER[way.batches[0].method])
    said = message.format(parts=listed(parts))
    return said if way.sow_by is None else _("{what} by {day}").format(what=said, day=day_in_words(way.sow_by))


def _ordered(plan: Plan, batch: Batch) -> str:
    name = plan.crops[batch.variety].name
    if batch.method is Method.PLUGS:
        return _("{places} plugs of {name}").format(places=batch.places, name=name)
    if batch.method is Method.TUBER:
        return _("{places} {pieces} of {name}").format(places=batch.places, pieces=_begun_from(plan, batch), name=name)
    return _("seed of {name} for {amount}").format(name=name, amount=_amount(batch))


def _begun(plan: Plan, batch: Batch) -> str:
    name = plan.crops[batch.variety].name
    if batch.method is Method.PLUGS:
        said = _("plant {places} bought plugs of {name}").format(places=batch.places, name=name)
    elif batch.method is Method.TUBER:
        said = _("plant {places} {pieces} of {name}").format(
            places=batch.places, pieces=_begun_from(plan, batch), name=name
        )
    else:
        message = _(_SOW[batch.method]) if batch.method in _SOW else _("sow {amount} of {name}")
        said = message.format(amount=_amount(batch), name=name)
    bed = next((bed.name for bed in plan.farm.beds if bed.key == batch.bed), None)
    return said if bed is None else _("{what}, in {bed}").format(what=said, bed=bed)


def _amount(batch: Batch) -> str:
    return _in_trays(float(batch.trays)) if batch.trays else _("{places} places").format(places=batch.places)


def _amounts(batches: Iterable[Batch]) -> str:
    """How much several batches of a kind are together: `14 trays and 378 places`."""
    found = list(batches)
    trays = sum(float(batch.trays) for batch in found if batch.trays)
    places = sum(batch.places for batch in found if not batch.trays)
    said = [_in_trays(trays)] if trays else []
    return _(" and ").join([*said, _("{places} places").format(places=places)] if places or not said else said)


def _in_trays(trays: float) -> str:
    return _(_TRAYS[trays]) if trays in _TRAYS else _("{count} trays").format(count=f"{trays:g}")

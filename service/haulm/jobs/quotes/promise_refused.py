"""A promise that is refused: whose it would cost from what to what, what would pass, what would close it first."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from typing import NamedTuple

from haulm.advice.acceptance import Fall, Verdict
from haulm.advice.asked_words import asked_in_words
from haulm.advice.floors import Guarded
from haulm.advice.may_promise import may_promise
from haulm.advice.quote_places import Counts
from haulm.advice.shortfalls import LineOutlook, asked_of
from haulm.demand.dated_line import DatedLine
from haulm.errors import HaulmError
from haulm.farm.quantities import percent, percents, whole_percent
from haulm.farm.weeks import day_in_words
from haulm.farm.words import OrderPart
from haulm.jobs.quotes.line_words import joined
from haulm.jobs.quotes.places_in_words import part_in_words
from haulm.jobs.quotes.places_told import PlacesTold
from haulm.jobs.quotes.size import MAY_PASS, Part, Tried, largest_size
from haulm.jobs.quotes.version import Largest
from haulm.jobs.quotes.written import sowings_in_words
from haulm.language.words import _
from haulm.planning.plan import Plan
from haulm.planning.sowings import sowing_for_order
from haulm.planning.sown_for import day_of

_BEYOND = 64
"""A larger count is looked for up to so many stems beyond twice what was asked."""


class Sizes(NamedTuple):
    """What of an order may be made smaller, and the judgement of so many of each part; nought leaves one out."""

    parts: tuple[Part, ...]
    judge: Callable[[Counts], Verdict]


@dataclass(frozen=True, slots=True)
class WayOn:
    """What can be promised instead, or done first.

    Attributes:
        most: where one number was asked, a number that passes while one more does not; else None.
        also: a larger number that passes again, or None.
        largest: where an order of several parts was asked, its largest size that passes; else None.
        sowings: what would close what stands in the way first if it were sown, each with its day; none where none can.
        decide_by: the first of these days; None where there is none.
    """

    most: int | None = None
    also: int | None = None
    largest: Largest | None = None
    sowings: tuple[str, ...] = ()
    decide_by: date | None = None


@dataclass(frozen=True, slots=True)
class RefusedWords:
    """What is said of a refusal, a sentence or a line each.

    Attributes:
        short: what stands against the promise.
        passes: what could be promised instead, a sentence each.
        sowings: what could be sown first to close it, each with its day.
        sow_by: until when that has to be decided, or that nothing can be sown; empty where it was not looked for.
    """

    short: str
    passes: tuple[str, ...] = ()
    sowings: tuple[str, ...] = ()
    sow_by: str = ""


@dataclass(frozen=True, slots=True)
class Judged:
    """A promise as it was judged, with what is needed to look for a way on where it is judged.

    Attributes:
        order: key of the order.
        verdict: its judgement.
        trial: the plan with the promise in its place.
        stems: the number that was asked, where it was one; else None.
        judge: the judgement of another number; None where more than one was asked.
        sizes: the smaller sizes of an order of several parts; None where one number was asked.
        places: where what the quote asked falls, while all of it is asked at once; else None.
    """

    order: str
    verdict: Verdict
    trial: Plan
    stems: int | None = None
    judge: Callable[[int], Verdict] | None = None
    sizes: Sizes | None = None
    places: PlacesTold | None = None

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts of the quote that can be taken instead."""
        if self.places is None:
            return ()
        named = ((OrderPart.STANDS, self.places.promised), (OrderPart.SOWN, self.places.sown))
        return tuple(str(part) for part, place in named if place is not None)


class PromiseRefused(HaulmError):
    """A promise would be less sure than asked, or would take an earlier one below what it was promised at."""

    code = "promise-refused"

    def __init__(self, judged: Judged, way: WayOn | None = None) -> None:
        verdict = judged.verdict
        facts: dict[str, object] = {
            "order": judged.order,
            "level": verdict.level,
            "order_confidence": round(verdict.joint, 4),
            "falls": [fall_facts(fall) for fall in verdict.falls],
            "displaced": [fall_facts(fall) for fall in verdict.displaced],
            "unsure": [{"line": one.line.line, "confidence": round(one.confidence, 4)} for one in verdict.unsure],
        }
        if judged.parts:
            facts["parts"] = list(judged.parts)
        if way is not None:
            facts["sowing"] = _sowing_sentence(way)
        if way is not None and way.most is not None:
            facts |= {"most": way.most, "also": way.also}
        if way is not None and way.largest is not None:
            facts["largest"] = asdict(way.largest)
        words = RefusedWords(cause_in_words(verdict, judged.trial))
        if way is not None:
            words = RefusedWords(words.short, tuple(_passes(judged, way)), way.sowings, _sow_by(way))
            facts |= {"short": words.short, "would_pass": list(words.passes), "to_sow": list(words.sowings)}
            facts["decide_by"] = None if way.decide_by is None else way.decide_by.isoformat()
        super().__init__(" ".join([words.short, *([] if way is None else _sizes(way))]), **facts)
        self.words = words
        self.judged = judged
        self.verdict = verdict


def with_a_way_on(refusal: PromiseRefused) -> PromiseRefused:
    """The refusal with what would pass and what would close it first, by further matches of the farm.

    To be asked outside the transaction that refused, since others wait for the farm meanwhile.
    """
    judged = refusal.judged
    most, also = None, None
    if judged.judge is not None and judged.stems is not None:
        stems = judged.stems
        found = may_promise(
            judged.judge,
            free=max(1, stems - 1),
            most=2 * stems + _BEYOND,
            is_choice=any(one.line.choice is not None for one in judged.verdict.new),
        )
        most, also = found.stems, found.also
    return PromiseRefused(judged, WayOn(most, also, _largest(judged.sizes), *_sowings(judged)))


def _largest(sizes: Sizes | None) -> Largest | None:
    if sizes is None:
        return None

    def tried(counts: Counts) -> Tried:
        found = sizes.judge(counts)
        return Tried(found.accepted, found.joint)

    return largest_size(sizes.parts, tried, MAY_PASS)


def fall_facts(fall: Fall) -> dict[str, str | float | None]:
    """A line, or a delivery (line None), that would be less sure than now, as refusals and entries say it."""
    return {
        "line": fall.what.line,
        "order": fall.what.order,
        "customer": fall.customer,
        "due": fall.what.due.isoformat(),
        "from": round(fall.before, 4),
        "to": round(fall.after, 4),
        "floor": round(fall.floor, 4),
    }


def override_facts(found: Verdict | None, reason: str | None) -> dict[str, object]:
    """What the entry of a promise says of a refusal that the owner overrode: why, and what falls; else nothing."""
    if found is None or found.accepted:
        return {}
    return {
        "overridden": True,
        "override_reason": reason,
        "order_confidence": found.joint,
        "would_fall": [fall_facts(fall) for fall in found.falls],
    }


def fall_in_words(lines: Sequence[DatedLine], what: Guarded, shares: tuple[float, float], plan: Plan) -> str:
    """Whose promise goes from what to what: `Ben's 20 white cosmos for Thu 17 Jun 2027 from 80 % to 60 %`.

    Args:
        lines: the line, or the lines of a delivery as a whole.
        what: which of both it is.
        shares: how sure it was and is, 0-1.
        plan: where names are looked up.
    """
    return f"{customer_in_words(lines[0].customer, plan)}'s {promise_in_words(lines, what, shares, plan)}"


def promise_in_words(lines: Sequence[DatedLine], what: Guarded, shares: tuple[float, float], plan: Plan) -> str:
    """The same without the customer's name, for letters: they may lie about."""
    before, after = percents(*shares)
    asked = (
        line_in_words(lines[0], plan)
        if what.line is not None
        else _("delivery of {lines} lines").format(lines=len(lines))
    )
    return _("{asked} for {due} from {before} to {after}").format(
        asked=asked, due=day_in_words(what.due), before=before, after=after
    )


def fall_shown(fall: Fall, plan: Plan) -> str:
    """A fall as a form shows it: no name, and in whole percent, so that the weather alone does not make it another."""
    return promise_in_words(fall.lines, fall.what, (whole_percent(fall.before), whole_percent(fall.after)), plan)


def line_in_words(line: DatedLine, plan: Plan) -> str:
    """What a line asks: `20 white cosmos`."""
    return f"{line.stems} {asked_in_words(asked_of(line), plan.crops)}"


def customer_in_words(key: str, plan: Plan) -> str:
    """A customer's name; the key where the farm has nobody of that key."""
    return next((customer.name for customer in plan.farm.customers if customer.key == key), key)


def _passes(judged: Judged, way: WayOn) -> Iterator[str]:
    """What could be promised instead: another size, or parts of the quote by themselves."""
    yield from _sizes(way)
    yield from _parts_instead(judged)


def _sizes(way: WayOn) -> Iterator[str]:
    if way.most is not None:
        passes = (
            _("{most} could be promised").format(most=way.most) if way.most else _("Not one stem could be promised")
        )
        yield f"{passes}{f', and so could {way.also}' if way.also is not None else ''}."
    if way.largest is not None:
        yield way.largest.sentence


def _sow_by(way: WayOn) -> str:
    if way.decide_by is None:
        return _("Nothing that can still be sown would close it.")
    return _("What would close it first, decided by {decide_by}:").format(decide_by=day_in_words(way.decide_by))


def _sowing_sentence(way: WayOn) -> str | None:
    if way.decide_by is None:
        return None
    return _("{sowings} would close it first: decide by {decide_by}.").format(
        sowings=joined(way.sowings, _("and")), decide_by=day_in_words(way.decide_by)
    )


def _parts_instead(judged: Judged) -> Iterator[str]:
    """The parts of the quote that were offered by themselves."""
    places = judged.places
    if places is None:
        return
    if places.promised is not None:
        what = joined([part_in_words(part) for part in places.promised.parts], "and")
        yield _("What stands today may be held by itself: {what}.").format(what=what)
    if places.sown is not None:
        what = joined([part_in_words(part) for part in places.sown.parts], "and")
        yield _("With what is sown for it, and a yes by {yes_by}: {what} as well.").format(
            yes_by=day_in_words(places.sown.yes_by), what=what
        )


def cause_in_words(found: Verdict, plan: Plan) -> str:
    """What stands against a promise: who would fall by it, or what of it is not sure enough.

    Args:
        found: its judgement, which refuses it.
        plan: the farm with it in its place.
    """
    if found.falls:
        worst = found.falls[0]
        more = _(", and {count} more would fall").format(count=len(found.falls) - 1) if len(found.falls) > 1 else ""
        return _("This would take {fall}, below the {floor} it keeps{more}.").format(
            fall=fall_of_verdict(worst, plan), floor=percent(worst.floor), more=more
        )
    if found.unsure:
        worst_line = _least_sure(found)
        asked = _("{asked} for {due}").format(
            asked=line_in_words(worst_line.line, plan), due=day_in_words(worst_line.line.due)
        )
        sure, level = percents(worst_line.confidence, found.level)
        return _("{asked} would be {sure} sure, and {level} is asked.").format(asked=asked, sure=sure, level=level)
    sure, level = percents(found.joint, found.level)
    return _("All its lines together would be {sure} sure, and {level} is asked.").format(sure=sure, level=level)


def fall_of_verdict(fall: Fall, plan: Plan) -> str:
    """A fall that a verdict names, in words."""
    return fall_in_words(fall.lines, fall.what, (fall.before, fall.after), plan)


def _sowings(judged: Judged) -> tuple[tuple[str, ...], date | None]:
    """What would close what stands in the way first, proved by a re-match, each sowing in words; the first day."""
    found, trial = judged.verdict, judged.trial
    if found.falls:
        lines, level = found.falls[0].lines, found.falls[0].floor
    else:
        lines, level = tuple(one.line for one in found.new), found.level
    lines = tuple(line for line in lines if line in trial.result.places)
    better = sowing_for_order(trial, lines, level) if lines else None
    if better is None or not better.closes:
        return (), None
    return sowings_in_words(trial, better.batches), min(map(day_of, better.batches))


def _least_sure(found: Verdict) -> LineOutlook:
    return min(found.unsure, key=lambda one: one.confidence)

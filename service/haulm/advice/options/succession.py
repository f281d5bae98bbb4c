"""The extra sowing that closes a gap: its kind, method, date and size, proved by a re-match.

A sketch tells how many places each candidate would need; the most promising are then matched for real, made larger
until the gap closes and smaller while it stays closed. Where no single sowing does, several are tried.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from haulm.advice.options.candidates import Candidate
from haulm.advice.options.nearly import nearly_closing
from haulm.advice.options.option import Option, Proof
from haulm.advice.options.search import Search
from haulm.advice.options.several import sowing_set
from haulm.advice.options.sketch import Look, Sized
from haulm.advice.options.sowing_option import sowing_option
from haulm.farm.batches import Batch
from haulm.farm.words import Method

_GROW = 1.12
_TRIES = 4
_SHRINK = 0.85
_SHRINKS = 2
_TRIED_PER_METHOD = 2
_LATER_TRIED = 2
_LATE_TIMES = 2
"""A later sowing than the best one may take this many times its places."""


def sowing_options(search: Search) -> list[Option]:
    """The sowings that close a gap, and of seed and of plugs, where none of them does, the ones that help most.

    The smallest proved one of each method; where none closes the gap, several that together do. Bought plants are
    looked at apart, so that they never hide what seed can do.
    """
    found: list[Option] = []
    for plugs in (False, True):
        runs = tuple(run for run in search.runs if (run[0].method is Method.PLUGS) is plugs)
        single = [option for method in _methods(runs) if (option := _best(search, _of(runs, method))) is not None]
        several = None if single else sowing_set(search, runs)
        found += single if several is None else [several]
        if not search.has_all_ways and any(option.closes and option.is_in_proportion for option in found):
            return found  # seed goes before bought plants, and what closes the gap before what nearly does
    return [*found, *(nearly_closing(search, found) if search.has_all_ways else ())]


def _methods(runs: Iterable[Sequence[Candidate]]) -> Iterable[Method]:
    return dict.fromkeys(run[0].method for run in runs)


def _of(runs: Iterable[tuple[Candidate, ...]], method: Method) -> list[tuple[Candidate, ...]]:
    return [run for run in runs if run[0].method is method]


def _best(search: Search, runs: Iterable[tuple[Candidate, ...]]) -> Option | None:
    """The smallest sowing that closes the gap, with the last day on which one like it still does."""
    sizes = [(sized, run) for run in runs for sized in _sizes(search, run)]
    for sized, run in _smallest(sizes)[:_TRIED_PER_METHOD]:
        proved = _proved(search, sized)
        if proved is not None:
            batch, _ = proved
            sow_by = _sow_by(search, run, batch) if search.has_all_ways else _day_of(batch)
            decide_by = max(sow_by, _last_day(search, run, batch)) if search.has_all_ways else sow_by
            return sowing_option(search, ((batch,), proved[1]), sow_by=sow_by, decide_by=decide_by, closes=True)
    return None


def _smallest(sizes: Sequence[tuple[Sized, tuple[Candidate, ...]]]) -> list[tuple[Sized, tuple[Candidate, ...]]]:
    """The smallest first; of equal ones the middle day, which leaves time on both sides, and those beside it."""
    least = min((sized.places for sized, _ in sizes), default=0)
    days = sorted(sized.look.candidate.day for sized, _ in sizes if sized.places == least)
    middle = days[len(days) // 2] if days else date.max

    def order(item: tuple[Sized, tuple[Candidate, ...]]) -> tuple[int, int, date]:
        day = item[0].look.candidate.day
        return item[0].places, abs((day - middle).days), day

    return sorted(sizes, key=order)


def _sizes(search: Search, run: tuple[Candidate, ...]) -> list[Sized]:
    """The sizes at which sowings of a run would close the gap: every second week, then beside the smallest."""
    found: dict[int, Sized] = {}
    for place in range(0, len(run), 2):
        look = search.look(run[place])
        if look.is_too_late:
            break
        _note(search, look, place, found)
    if found:
        best = min(found, key=lambda place: (found[place].places, place))
        for place in (best - 1, best + 1):
            if 0 <= place < len(run):
                _note(search, search.look(run[place]), place, found)
    return list(found.values())


def _note(search: Search, look: Look, place: int, found: dict[int, Sized]) -> None:
    places = search.sketch.least_places(look)
    if places is not None:
        found[place] = search.sized(look, places)


def _proved(search: Search, sized: Sized) -> tuple[Batch, Proof] | None:
    """The batch made larger until the gap closes; one that closes it at once is made smaller while it stays closed."""
    for turn in range(_TRIES):
        tried = search.tried([sized])
        if tried is None:
            return None
        batches, proof = tried
        if search.closes(proof):
            return (batches[0], proof) if turn else _smaller(search, sized.look, (batches[0], proof))
        growth = search.growth(proof)
        if growth is None:
            return None
        sized = search.sized(sized.look, sized.places * growth)
    return None


def _smaller(search: Search, look: Look, known: tuple[Batch, Proof]) -> tuple[Batch, Proof]:
    step = search.step(look.candidate)
    for _ in range(_SHRINKS):
        places = int(known[0].places * _SHRINK) // step.places * step.places
        if places < step.least:
            break
        tried = search.tried([Sized(look, places)])
        if tried is None or not search.closes(tried[1]):
            break
        known = tried[0][0], tried[1]
    return known


def _sow_by(search: Search, run: tuple[Candidate, ...], batch: Batch) -> date:
    """The last date on which the batch as it is, in its bed, still closes the gap."""
    first = _day_of(batch)
    later: list[date] = []
    for candidate in run:
        if candidate.day > first:
            places = search.sketch.least_places(search.look(candidate))
            if places is None or places > batch.places:
                break
            later.append(candidate.day)
    for _ in range(_LATER_TRIED):
        if not later:
            break
        tried = search.moved(batch, later[-1])
        if tried is not None and search.closes(tried[1]):
            return later[-1]
        later = later[: len(later) // 2]
    return first


def _last_day(search: Search, run: tuple[Candidate, ...], batch: Batch) -> date:
    """The last date on which a sowing of this run, at most twice as large, still closes the gap."""
    day = _day_of(batch)
    later: list[Sized] = []
    for candidate in run:
        if candidate.day > day:
            look = search.look(candidate)
            places = search.sketch.least_places(look)
            if places is None or places > _LATE_TIMES * batch.places:
                break
            later.append(Sized(look, places))
    for _ in range(_LATER_TRIED):
        if not later:
            break
        sized = search.sized(later[-1].look, min(_GROW * later[-1].places, _LATE_TIMES * batch.places))
        tried = search.tried([sized])
        if tried is not None and search.closes(tried[1]):
            return sized.look.candidate.day
        later = later[: len(later) // 2]
    return day


def _day_of(batch: Batch) -> date:
    day = batch.sow_date or batch.plant_out_date
    assert day is not None, "a sowing has a day"
    return day

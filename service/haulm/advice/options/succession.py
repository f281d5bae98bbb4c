"""The extra sowing that closes a gap: its kind, method, date and size, proved by a re-match.

A sketch tells how many places each candidate would need; the most promising are then matched for real, made larger
until the gap closes and smaller while it stays closed. Where no single sowing does, several are tried.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import date

from haulm.advice.options.candidates import Candidate
from haulm.advice.options.option import Option, Proof
from haulm.advice.options.search import Search
from haulm.advice.options.several import said, sowing_set
from haulm.advice.options.sketch import ROUND_PLACES, Look, Sized, rounded
from haulm.farm.batches import Batch
from haulm.farm.quantities import percents
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
    """The sowings that close a gap, or else the ones that help most.

    The smallest proved one of each method; where none closes the gap, several that together do. Bought plants are
    looked at apart, so that they never hide what seed can do.
    """
    found: list[Option] = []
    for plugs in (False, True):
        runs = tuple(run for run in search.runs if (run[0].method is Method.PLUGS) is plugs)
        single = [option for method in _methods(runs) if (option := _best(search, _of(runs, method))) is not None]
        several = None if single else sowing_set(search, runs)
        found += single if several is None else [several]
    closing = [option for option in found if option.closes]
    return closing or sorted(found, key=_missing)[:1]


def _missing(option: Option) -> float:
    return math.inf if option.after is None else option.after.missing


def _methods(runs: Iterable[Sequence[Candidate]]) -> Iterable[Method]:
    return dict.fromkeys(run[0].method for run in runs)


def _of(runs: Iterable[tuple[Candidate, ...]], method: Method) -> list[tuple[Candidate, ...]]:
    return [run for run in runs if run[0].method is method]


def _best(search: Search, runs: Iterable[tuple[Candidate, ...]]) -> Option | None:
    """The smallest sowing that closes the gap, with the last day on which one like it still does."""
    sizes = [(sized, run) for run in runs for sized in _sizes(search, run)]
    sizes.sort(key=lambda item: (item[0].places, item[0].look.candidate.day))
    for sized, run in sizes[:_TRIED_PER_METHOD]:
        proved = _proved(search, sized)
        if proved is not None:
            batch, proof = proved
            return _option(search, sized.look.candidate, batch, proof, _last_day(search, run, batch))
    return None


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
        found[place] = Sized(look, places)


def _proved(search: Search, sized: Sized) -> tuple[Batch, Proof] | None:
    """The batch made larger until the gap closes; one that closes it at once is made smaller while it stays closed."""
    places = sized.places
    for turn in range(_TRIES):
        tried = search.tried([Sized(sized.look, places)])
        if tried is None:
            return None
        batches, proof = tried
        if search.closes(proof):
            return (batches[0], proof) if turn else _smaller(search, sized.look, (batches[0], proof))
        growth = search.growth(proof)
        if growth is None:
            return None
        places = rounded(places * growth)
    return None


def _smaller(search: Search, look: Look, known: tuple[Batch, Proof]) -> tuple[Batch, Proof]:
    for _ in range(_SHRINKS):
        places = int(known[0].places * _SHRINK) // ROUND_PLACES * ROUND_PLACES
        if places < ROUND_PLACES:
            break
        tried = search.tried([Sized(look, places)])
        if tried is None or not search.closes(tried[1]):
            break
        known = tried[0][0], tried[1]
    return known


def _last_day(search: Search, run: tuple[Candidate, ...], batch: Batch) -> date:
    """The last date on which a sowing of this run, at most twice as large, still closes the gap."""
    day = batch.sow_date or batch.plant_out_date
    own = next(place for place, candidate in enumerate(run) if candidate.day == day)
    later: list[Sized] = []
    for candidate in run[own + 1 :]:
        look = search.look(candidate)
        places = search.sketch.least_places(look)
        if places is None or places > _LATE_TIMES * batch.places:
            break
        later.append(Sized(look, places))
    found = run[own].day
    for _ in range(_LATER_TRIED):
        if not later:
            break
        sized = later[-1]
        tried = search.tried([Sized(sized.look, min(rounded(sized.places * _GROW), _LATE_TIMES * batch.places))])
        if tried is not None and search.closes(tried[1]):
            return sized.look.candidate.day
        later = later[: len(later) // 2]
    return found


def _option(search: Search, candidate: Candidate, batch: Batch, proof: Proof, decide_by: date) -> Option:
    plugs = candidate.method is Method.PLUGS
    before, after = percents(search.before.confidence, proof.confidence)
    return Option(
        kind="plugs" if plugs else "succession",
        sentence=f"{said(search, (batch,))}: from {before} to {after} sure.",
        decide_by=decide_by,
        before=search.before,
        after=proof,
        closes=True,
        cost_minor=None if plugs else search.cost(batch.places),
        batches=(batch,),
    )

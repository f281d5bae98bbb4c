"""Several sowings one after another, for a gap that no single one can close; proved together by a re-match."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from haulm.advice.options.candidates import Candidate
from haulm.advice.options.option import Option
from haulm.advice.options.search import Search
from haulm.advice.options.sketch import MOST_PLACES, PROBE_PLACES, Look, Sized
from haulm.advice.options.sowing_option import sowing_option

MOST_BATCHES = 4
_LADDER = (1, 2, 4, 8, 16, 32)
_LITTLE = 1e-6
_TRIM = 0.85
_GROW = 1.12
_TRIES = 4
_LATER_TRIED = 2
_LATE_TIMES = 2
_HELPS = 0.9
"""Sowings that do not close a gap are worth telling if they take a tenth of what it lacks away."""


def sowing_set(search: Search, runs: Sequence[tuple[Candidate, ...]]) -> Option | None:
    """Up to four sowings that close a gap together, each needed; else the ones that help most, if they help enough.

    Every sowing is to be made; so the option can be taken as long as the set can still begin.
    """
    sowings = _chosen(search, runs)
    if not sowings:
        return None
    closing = _closing(search, runs, sowings) if search.sketch.closed(sowings).all() else None
    if closing is not None:
        return closing
    tried = search.tried(sowings)
    if tried is None or tried[1].missing > _HELPS * search.before.missing:
        return None
    first = sowings[0].look.candidate.day
    return sowing_option(search, tried, sow_by=first, decide_by=first, closes=False)


def _closing(search: Search, runs: Sequence[tuple[Candidate, ...]], sowings: list[Sized]) -> Option | None:
    """The set made larger until it closes the gap by a re-match."""
    for _ in range(_TRIES):
        tried = search.tried(sowings)
        if tried is None:
            return None
        if search.closes(tried[1]):
            first = sowings[0].look.candidate.day
            last = _decide_by(search, runs, sowings) if search.has_all_ways else first
            return sowing_option(search, tried, sow_by=first, decide_by=last, closes=True)
        growth = search.growth(tried[1])
        if growth is None:
            return None
        sowings = [search.sized(sized.look, sized.places * growth) for sized in sowings]
    return None


def _chosen(search: Search, runs: Sequence[tuple[Candidate, ...]]) -> list[Sized]:
    """The set that the sketch likes best: chosen one by one, each looked over once more beside the others, trimmed."""
    sizes = _useful(search, runs)
    found: list[Sized] = []
    while len(found) < MOST_BATCHES and not search.sketch.closed(found).all():
        best = _best(search, sizes, found)
        if best is None:
            break
        found.append(best)
    for sized in list(found) if len(found) > 1 else ():
        others = [other for other in found if other is not sized]
        better = _best(search, sizes, others)
        if better is not None and search.sketch.want([*others, better]) < search.sketch.want(found):
            found = [*others, better]
    return sorted(_trimmed(search, found), key=lambda sized: sized.look.candidate.day)


def _useful(search: Search, runs: Sequence[tuple[Candidate, ...]]) -> list[Sized]:
    """Sowings that would help: every second week, then beside those, each in a few sizes."""
    found: dict[tuple[int, int], Look] = {}
    for number, run in enumerate(runs):
        helping = [place for place in _every_second(search, run) if _helps(search, search.look(run[place]))]
        for place in sorted({at + step for at in helping for step in (-1, 0, 1)}):
            if 0 <= place < len(run) and _helps(search, search.look(run[place])):
                found[number, place] = search.look(run[place])
    return [sized for look in found.values() for sized in _sizes(search, look)]


def _every_second(search: Search, run: tuple[Candidate, ...]) -> Iterator[int]:
    for place in range(0, len(run), 2):
        if search.look(run[place]).is_too_late:
            return
        yield place


def _helps(search: Search, look: Look) -> bool:
    """Whether any size takes a twentieth of what is wanted away."""
    return search.sketch.want([Sized(look, MOST_PLACES)]) <= 0.95 * search.sketch.want(())


def _sizes(search: Search, look: Look) -> list[Sized]:
    """Sizes that give the stems of one line, of two, and so on, up to all of them; a batch fails now and then."""
    sketch = search.sketch
    lacking = float((sketch.missing @ sketch.weights).mean())
    given = float((look.upto - look.before).max(axis=0) @ sketch.weights) / PROBE_PLACES
    lines = [count for count in _LADDER if count < 2 * len(sketch.missing)]
    sizes = [search.sized(look, 1.5 * count * lacking / given).places for count in lines] if given > 0 else []
    return [Sized(look, places) for places in dict.fromkeys(sizes) if places <= MOST_PLACES]


def _best(search: Search, sizes: Sequence[Sized], others: Sequence[Sized]) -> Sized | None:
    """The sowing after which least is wanted, beside the others, and with room for it; None where none helps."""
    now = search.sketch.want(others)
    taken = {sized.look.candidate for sized in others}
    ranked = [
        (want, sized.places, sized.look.candidate.day, place)
        for place, (sized, want) in enumerate(zip(sizes, search.sketch.wants(others, sizes), strict=True))
        if sized.look.candidate not in taken
    ]
    for want, _, _, place in sorted(ranked):
        if want >= now:
            return None
        if search.placed([*others, sizes[place]]) is not None:
            return sizes[place]
    return None


def _trimmed(search: Search, sowings: Sequence[Sized]) -> list[Sized]:
    """The set with no more places than it needs: each sowing in turn left out, or smaller, where little is lost."""
    kept = list(sowings)
    allowed = search.sketch.want(sowings) + _LITTLE
    for sized in sorted(sowings, key=lambda sized: -sized.places):
        others = [other for other in kept if other is not sized]
        if search.sketch.want(others) <= allowed:
            kept = others
            continue
        smaller = sized
        while (less := search.sized(sized.look, _TRIM * smaller.places)).places < smaller.places:
            if search.sketch.want([*others, less]) > allowed:
                break
            smaller = less
        kept = [*others, smaller]
    return kept


def _decide_by(search: Search, runs: Sequence[tuple[Candidate, ...]], sowings: Sequence[Sized]) -> date:
    """The last day on which the set can still begin: every sowing whose day has passed by then moves up to it."""
    first = sowings[0].look.candidate.day
    days = sorted({candidate.day for run in runs for candidate in run if candidate.day > first})
    later: list[tuple[date, list[Sized]]] = []
    for day in days:
        moved = _begun_on(search, runs, sowings, day)
        if moved is None:
            break
        later.append((day, moved))
    for _ in range(_LATER_TRIED):
        if not later:
            break
        day, moved = later[-1]
        tried = search.tried(moved)
        if tried is not None and search.closes(tried[1]):
            return day
        later = later[: len(later) // 2]
    return first


def _begun_on(
    search: Search, runs: Sequence[tuple[Candidate, ...]], sowings: Sequence[Sized], day: date
) -> list[Sized] | None:
    """The set begun on a day, sowings that move made up to twice as large; None where it would not close the gap."""
    moved = list(sowings)
    for place, sized in enumerate(sowings):
        candidate = sized.look.candidate
        if candidate.day >= day:
            continue
        run = next(run for run in runs if candidate in run)
        later = next((other for other in run if other.day >= day), None)
        if later is None or any(other.look.candidate == later for other in moved):
            return None
        others = [*moved[:place], *moved[place + 1 :]]
        look = search.look(later)
        places = search.sketch.least_places(look, others)
        if places is None or places > _LATE_TIMES * sized.places:
            return None
        moved[place] = search.sized(look, max(places * _GROW, sized.places))
    return moved

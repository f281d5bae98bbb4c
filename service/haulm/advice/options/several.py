"""Several sowings one after another, for a gap that no single one can close; proved together by a re-match."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

import numpy as np

from haulm.advice.options.candidates import Candidate
from haulm.advice.options.option import Option, Proof
from haulm.advice.options.search import Search
from haulm.advice.options.sketch import MOST_PLACES, BoolArray, Look, Sized, rounded
from haulm.farm.batches import Batch
from haulm.farm.words import Method

MOST_BATCHES = 4
_LADDER = (1.0, 1.5, 2.2, 3.2)
"""A batch is tried at these times the places that its first line needs; a larger one may reach further lines."""
_GROW = 1.12
_TRIES = 5
_LATER_TRIED = 2
_LATE_TIMES = 2
_HELPS = 0.5
"""Sowings that do not close a gap are worth telling if they halve the stems that it lacks."""


def closing_set(search: Search, runs: Sequence[tuple[Candidate, ...]]) -> Option | None:
    """Two to four sowings that close the gap together, each needed; None where there are none.

    Every sowing is to be made; so the option can be taken until the earliest of their last days.
    """
    found = _covering(search, _useful(search, runs))
    if len(found) < 2 or not search.sketch.closed(found).all():
        return None
    sowings = _trimmed(search, found, np.ones(len(search.sketch.missing), np.bool_))
    for _ in range(_TRIES):
        tried = search.tried(sowings)
        if tried is None:
            return None
        if search.closes(tried[1]):
            return _option(search, tried, _decide_by(search, runs, sowings), closes=True)
        growth = search.growth(tried[1])
        if growth is None:
            return None
        sowings = [Sized(sized.look, rounded(sized.places * growth)) for sized in sowings]
    return None


def helping_set(search: Search, runs: Sequence[tuple[Candidate, ...]]) -> Option | None:
    """The sowings that make most lines sure, where no set closes the gap; None where they do not help enough."""
    found = _covering(search, _useful(search, runs))
    if not found:
        return None
    sowings = _trimmed(search, found, search.sketch.closed(found))
    tried = search.tried(sowings)
    if tried is None or tried[1].missing > _HELPS * search.before.missing:
        return None
    return _option(search, tried, min(sized.look.candidate.day for sized in sowings), closes=False)


def said(search: Search, batches: Sequence[Batch]) -> str:
    """What to sow or plant, each with its date."""
    parts = "; ".join(_said_of(search, batch) for batch in batches)
    return parts[0].upper() + parts[1:]


def _said_of(search: Search, batch: Batch) -> str:
    name = search.crops[batch.variety].name
    where = f", bed {batch.bed}" if batch.bed else ""
    if batch.method is Method.PLUGS:
        return f"plant {batch.places} bought plugs of {name} on {batch.plant_out_date}{where}"
    trays = "" if not batch.trays else f" in {batch.trays:g} tray{'' if batch.trays == 1 else 's'}"
    return f"sow {batch.places} places of {name}{trays} ({batch.method}) on {batch.sow_date}{where}"


def _useful(search: Search, runs: Sequence[tuple[Candidate, ...]]) -> list[Look]:
    """The looks at sowings that could make some line sure: every second week, then beside those that do."""
    found: dict[tuple[int, int], Look] = {}
    for number, run in enumerate(runs):
        helping = [place for place in _every_second(search, run) if _helps(search, search.look(run[place]))]
        for place in sorted({at + step for at in helping for step in (-1, 0, 1)}):
            if 0 <= place < len(run) and _helps(search, search.look(run[place])):
                found[number, place] = search.look(run[place])
    return list(found.values())


def _every_second(search: Search, run: tuple[Candidate, ...]) -> Iterator[int]:
    for place in range(0, len(run), 2):
        if search.look(run[place]).is_too_late:
            return
        yield place


def _helps(search: Search, look: Look) -> bool:
    return bool(search.sketch.closed([Sized(look, MOST_PLACES)]).any())


def _covering(search: Search, looks: Sequence[Look]) -> list[Sized]:
    """Sowings that each make the first line sure which is not so yet, and as many after it as they can."""
    found: list[Sized] = []
    hopeless = np.zeros(len(search.sketch.missing), np.bool_)
    while len(found) < MOST_BATCHES:
        open_lines = ~(search.sketch.closed(found) | hopeless)
        if not open_lines.any():
            break
        first = int(open_lines.argmax())
        best = _best_next(search, looks, found, first)
        if best is None:
            hopeless[first] = True
        else:
            found.append(best)
    return found


def _best_next(search: Search, looks: Sequence[Look], found: Sequence[Sized], first: int) -> Sized | None:
    """One more sowing that makes a line sure: the one with most lines sure in all, then with fewest places."""
    line = np.zeros(len(search.sketch.missing), np.bool_)
    line[first] = True
    ranked: list[tuple[int, int, date, Sized]] = []
    for look in looks:
        least = search.sketch.least_places(look, found, line)
        for times in _LADDER if least is not None else ():
            sized = Sized(look, min(rounded((least or 0) * times), MOST_PLACES))
            closed = int(search.sketch.closed([*found, sized]).sum())
            ranked.append((-closed, sized.places, look.candidate.day, sized))
    ranked.sort(key=lambda item: item[:3])
    return next((item[3] for item in ranked if search.placed([*found, item[3]]) is not None), None)


def _trimmed(search: Search, sowings: Sequence[Sized], lines: BoolArray) -> list[Sized]:
    """The same lines made sure with fewer places: each sowing in turn as small as the others allow, or left out."""
    kept = list(sowings)
    for sized in sorted(sowings, key=lambda sized: -sized.places):
        others = [other for other in kept if other is not sized]
        if bool(search.sketch.closed(others)[lines].all()):
            kept = others
            continue
        places = search.sketch.least_places(sized.look, others, lines)
        if places is not None and places < sized.places:
            kept[kept.index(sized)] = Sized(sized.look, places)
    return sorted(kept, key=lambda sized: sized.look.candidate.day)


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
        moved[place] = Sized(look, max(rounded(places * _GROW), sized.places))
    return moved


def _option(search: Search, tried: tuple[tuple[Batch, ...], Proof], decide_by: date, *, closes: bool) -> Option:
    batches, proof = tried
    plugs = any(batch.method is Method.PLUGS for batch in batches)
    sentence = f"{said(search, batches)}: from {search.before.confidence:.0%} to {proof.confidence:.0%} sure"
    if not closes:
        sentence += f"; of {search.before.missing:.0f} stems missing on average {proof.missing:.0f} stay missing"
    return Option(
        kind="plugs" if plugs else "succession",
        sentence=f"{sentence}.",
        decide_by=decide_by,
        before=search.before,
        after=proof,
        closes=closes,
        cost_minor=None if plugs else search.cost(sum(batch.places for batch in batches)),
        batches=batches,
    )

"""What would have to give way so that a gap closes: the cap on one kind of a choice, or a bed or bench that is full."""

from __future__ import annotations

from dataclasses import replace

from haulm.advice.options.option import Option
from haulm.advice.options.placing import Full
from haulm.advice.options.search import Refused, Search
from haulm.advice.options.situation import ProveLines, Situation
from haulm.advice.room import BARE_BED, metres_needed
from haulm.farm.quantities import percents
from haulm.farm.weeks import day_in_words
from haulm.farm.words import Method

_LARGER = (1.0, 1.4)
"""A sowing that found no room is tried as the sketch sized it, and larger."""


def more_of_one(situation: Situation, prove: ProveLines) -> Option | None:
    """A choice that takes as much of one kind as it likes; None where that helps too little, or nothing is a choice.

    Args:
        situation: the gap.
        prove: re-matches the farm with lines changed.
    """
    capped = tuple(line for line in situation.lines if line.choice is not None and line.max_each != line.stems)
    if not capped or situation.ask_by(capped) < situation.today:
        return None
    trial = prove({line: replace(line, max_each=line.stems) for line in capped})
    if trial.falls or not situation.is_worth_telling(trial.proof):
        return None
    by = situation.ask_by(capped)
    people = " and ".join(sorted({situation.person(line) for line in capped}))
    return Option(
        kind="more_of_one",
        sentence=f"Ask {people} by {day_in_words(by)} whether one kind may fill more than half of {situation.asked}: "
        f"{situation.said(trial.proof)}.",
        decide_by=by,
        before=situation.before,
        after=trial.proof,
        closes=situation.closes(trial.proof),
        lines=capped,
        worth=situation.worth(trial.proof),
    )


def make_room(search: Search) -> Option | None:
    """The smallest sowing that found no room, were there room; None where none was refused or it would not close.

    Its batches are none: nothing can be added before there is room for it.
    """
    if not search.refused:
        return None
    smallest = min(search.refused, key=lambda one: (one.sized.places, one.sized.look.candidate.day))
    for times in _LARGER:
        refused = replace(smallest, sized=search.sized(smallest.sized.look, times * smallest.sized.places))
        batch = search.unplaced(refused.sized)
        proof = search.prove((batch,))
        if not search.closes(proof):
            continue
        before, after = percents(search.before.confidence, proof.confidence)
        day = refused.sized.look.candidate.day
        return Option(
            kind="make_room",
            sentence=f"{_said(search, refused)}: from {before} to {after} sure.",
            decide_by=day,
            before=search.before,
            after=proof,
            closes=True,
            product=batch.product,
            sow_by=day,
            order_by=search.order_by((batch,), day),
            worth=search.worth((batch,), proof),
            at_home=search.are_in_hand((batch,)),
        )
    return None


def _said(search: Search, refused: Refused) -> str:
    batch = search.unplaced(refused.sized)
    crop = search.crops[batch.variety]
    day = day_in_words(refused.sized.look.candidate.day)
    verb = "planted" if batch.method in (Method.PLUGS, Method.TUBER) else "sown"
    sowing = f"{batch.places} places of {crop.name}, {verb} on {day}"
    if refused.full is Full.BENCH:
        return f"The benches are full: with room for {sowing}"
    dates = search.room.dates(batch, crop)
    until = "" if dates is None else f" from {day_in_words(dates[0])} to {day_in_words(dates[1])}"
    metres = metres_needed(batch.places, crop, BARE_BED)
    return f"The beds are full: with {metres:.1f} m free{until}, for {sowing}"

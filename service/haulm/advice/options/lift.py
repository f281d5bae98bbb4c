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
from haulm.language.words import _

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
    people = _(" and ").join(sorted({situation.person(line) for line in capped}))
    return Option(
        kind="more_of_one",
        sentence=_("Ask {people} by {by} whether one kind may fill more than half of {asked}: {effect}.").format(
            people=people, by=day_in_words(by), asked=situation.asked, effect=situation.said(trial.proof)
        ),
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
            sentence=_("{said}: from {before} to {after} sure.").format(
                said=_said(search, refused), before=before, after=after
            ),
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
    is_planted = batch.method in (Method.PLUGS, Method.TUBER)
    how = (
        _("{places} places of {name}, planted on {day}")
        if is_planted
        else _("{places} places of {name}, sown on {day}")
    )
    sowing = how.format(places=batch.places, name=crop.name, day=day)
    if refused.full is Full.BENCH:
        return _("The benches are full: with room for {sowing}").format(sowing=sowing)
    dates = search.room.dates(batch, crop)
    metres = f"{metres_needed(batch.places, crop, BARE_BED):.1f}"
    if dates is None:
        return _("The beds are full: with {metres} m free, for {sowing}").format(metres=metres, sowing=sowing)
    return _("The beds are full: with {metres} m free from {first} to {last}, for {sowing}").format(
        metres=metres, first=day_in_words(dates[0]), last=day_in_words(dates[1]), sowing=sowing
    )

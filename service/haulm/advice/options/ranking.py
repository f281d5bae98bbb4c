"""Which option is recommended: what closes the gap for the least, seed before plugs."""

from __future__ import annotations

from collections.abc import Iterable

from haulm.advice.options.option import Option
from haulm.farm.words import Method
from haulm.language.words import marked

KINDS = (
    "succession", "faster_kind", "move_cut", "fleece", "dried", "plugs", "swap", "substitute", "ask_later",
    "more_of_one", "make_room", "buy_in", "tell",
)  # fmt: skip
WITHOUT_SOWING = {
    "move_cut": marked("one more cut"),
    "fleece": marked("fleece"),
    "dried": marked("hanging stems to dry"),
    "swap": marked("a swap"),
    "substitute": marked("a stand-in"),
    "ask_later": marked("somebody who does without"),
    "more_of_one": marked("more of one kind in the choice"),
    "buy_in": marked("buying in"),
}
"""Kinds of ways that close a gap without a sowing, as people say them."""
_ALONE = ("succession", "faster_kind", "move_cut", "fleece", "dried")


def ranked(options: Iterable[Option]) -> tuple[Option, ...]:
    """Options, the recommended one first.

    What closes the gap and is worth it for what it gives; what helps; buying in; telling; and last what costs out of
    all proportion. Within each what the grower can do alone comes first, seed before plugs, then what is to be asked;
    then what costs least, less what is left over; then the surer; then the smaller.
    """
    return tuple(sorted(options, key=_preference))


def worth_telling(options: Iterable[Option]) -> tuple[Option, ...]:
    """Options without those out of all proportion; of these the cheapest, where nothing else closes the gap."""
    found = ranked(options)
    worthy = tuple(option for option in found if option.is_in_proportion)
    if any(closes_for_good(option) for option in worthy):
        return worthy
    dear = next((option for option in found if closes_for_good(option)), None)
    return worthy if dear is None else (*worthy, dear)


def is_from_seed(option: Option) -> bool:
    """Whether an option is a sowing of the farm's own, without bought plants."""
    return bool(option.batches) and not _has_plugs(option)


def closes_for_good(option: Option) -> bool:
    """Whether an option closes its gap without anything giving way first."""
    return option.closes and option.kind != "make_room"


def _has_plugs(option: Option) -> bool:
    return any(batch.method is Method.PLUGS for batch in option.batches)


def _preference(option: Option) -> tuple[int, int, float, float, int, int, int]:
    worth, sure = option.worth, 0.0 if option.after is None else option.after.confidence
    net = 0.0 if worth is None else float(worth.net_minor)
    if worth is not None and not option.closes:
        net /= max(worth.gained_stems, 1.0)
    places = sum(batch.places for batch in option.batches)
    return _class(option), _tier(option), net, -sure, places, KINDS.index(option.kind), -option.decide_by.toordinal()


def _class(option: Option) -> int:
    if option.kind in ("buy_in", "tell"):
        return 2 if option.kind == "buy_in" else 3
    if not option.is_in_proportion:
        return 4
    return 0 if closes_for_good(option) else 1


def _tier(option: Option) -> int:
    if _has_plugs(option):
        return 1
    return 0 if option.kind in _ALONE else 2

"""Moves added one by one, each kept only where the re-match with it shows that it helps and harms nobody."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

from haulm.advice.options.option import Proof
from haulm.advice.options.situation import Changes, ProveLines, Situation
from haulm.demand.dated_line import DatedLine

MOST_TRIED = 3
_LEAST_GAIN = 0.05
"""A move that takes less than this share of the missing stems away is not worth asking anybody for."""

Move = TypeVar("Move")


def gathered(
    situation: Situation, moves: Sequence[Move], changes_of: Callable[[Move], Changes], prove: ProveLines
) -> tuple[tuple[Move, ...], Proof] | None:
    """The first moves that together close the gap, or help enough to be worth telling; None where none do.

    Args:
        situation: the gap.
        moves: what might be done, the most promising first; a few of them are tried.
        changes_of: the lines that a move changes; two moves of one line are never taken together.
        prove: re-matches the farm with lines changed.
    """
    taken: list[Move] = []
    changed: dict[DatedLine, DatedLine | None] = {}
    best = situation.before
    for move in moves[:MOST_TRIED]:
        changes = changes_of(move)
        if not changed.keys().isdisjoint(changes):
            continue
        trial = prove({**changed, **changes})
        gain = best.missing - trial.proof.missing
        if trial.falls or gain < _LEAST_GAIN * situation.before.missing:
            continue
        taken.append(move)
        changed.update(changes)
        best = trial.proof
        if situation.closes(best):
            break
    return (tuple(taken), best) if taken and situation.is_worth_telling(best) else None

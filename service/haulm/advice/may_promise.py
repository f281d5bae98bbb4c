"""May promise: the most stems with which a line asked on the spot would be accepted, and who loses at one more."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from haulm.advice.acceptance import Verdict


@dataclass(frozen=True, slots=True)
class MayPromise:
    """The most stems that may be promised.

    Attributes:
        stems: stems with which the line is accepted; 0 where not even one is.
        verdict: the judgement of so many; None where there are none.
        beyond: the judgement of one stem more, which is a refusal; None where `most` is reached.
    """

    stems: int
    verdict: Verdict | None
    beyond: Verdict | None


def may_promise(judge: Callable[[int], Verdict], *, guess: int, most: int) -> MayPromise:
    """The number of stems at which acceptance ends, each number tried being judged by a whole match.

    As a rule acceptance ends once, and this is the largest number that passes. A junior line that gives up below its
    minimum, or a choice that turns to other products, may let more pass again after a refusal; then this is still a
    number that passes while one more does not.

    Args:
        judge: the judgement of the line with so many stems, 1 or more.
        guess: where to look first; only speed depends on it.
        most: the most stems that may be asked, 1 or more.

    Source: doubling and halving of an interval (common practice).
    """
    judged: dict[int, Verdict] = {}

    def passes(stems: int) -> bool:
        if stems not in judged:
            judged[stems] = judge(stems)
        return judged[stems].accepted

    low, high = 0, most + 1
    step, trial = 1, min(max(guess, 1), most)
    while low + 1 < high:
        if passes(trial):
            low = trial
            trial = low + step
        else:
            high = trial
            trial = high - step
        step *= 2
        if not low < trial < high:
            trial, step = (low + high) // 2, most
    return MayPromise(low, judged.get(low), judged.get(low + 1))

"""May promise: the stems with which a line asked on the spot would be accepted, and who loses at one more."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from haulm.advice.acceptance import Verdict

_NEXT = 16
"""So many counts beyond the one that ends acceptance are all tried; further ones at doubling steps."""


@dataclass(frozen=True, slots=True)
class MayPromise:
    """The stems that may be promised.

    Attributes:
        stems: stems with which the line is accepted, while it is not with one more; 0 where not even one is.
        verdict: the judgement of so many; None where there are none.
        beyond: the judgement of one stem more, which is a refusal; None where `most` is reached.
        also: a larger number that is accepted again, or None.
    """

    stems: int
    verdict: Verdict | None
    beyond: Verdict | None
    also: int | None = None


def may_promise(judge: Callable[[int], Verdict], *, free: int, most: int, is_choice: bool = False) -> MayPromise:
    """The number of stems at which acceptance ends, each number tried being judged by a whole match.

    Looked for upwards from what is free in doubling steps, downwards where that is refused, then by halving. As a rule
    acceptance ends once. A junior line that gives up below its minimum, or a choice that turns to other products, may
    let more pass again: the next counts are all tried, further ones at doubling steps, until the line itself is not
    sure enough (a choice, whose half grows with it: until it is never filled).

    Args:
        judge: the judgement of the line with so many stems, 1 or more.
        free: stems that nobody else would miss, where the search begins.
        most: the most stems that may be asked, 1 or more.
        is_choice: whether the line is a choice.

    Source: doubling and halving of an interval (common practice).
    """
    judged: dict[int, Verdict] = {}

    def asked(stems: int) -> Verdict:
        if stems not in judged:
            judged[stems] = judge(stems)
        return judged[stems]

    stems = _last_accepted(lambda count: asked(count).accepted, free=free, most=most)
    also = None
    for count in _larger(stems + 1, most):
        if asked(count).accepted:
            also = count
            break
        if not asked(count).is_sure and (not is_choice or asked(count).joint <= 0):
            break
    return MayPromise(stems, judged.get(stems), judged.get(stems + 1), also)


def _last_accepted(passes: Callable[[int], bool], *, free: int, most: int) -> int:
    """A number that passes while one more does not, nought counting as passed and one beyond the most as refused."""
    low, high = 0, most + 1
    step, trial = 1, min(max(free, 1), most)
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
    return low


def _larger(refused: int, most: int) -> Iterator[int]:
    """Counts beyond a refused one: the refused one itself, all of the next, then at doubling steps."""
    count, step = refused, 1
    while count <= most:
        yield count
        if count >= refused + _NEXT:
            step *= 2
        count += step

"""Promise after promise on random farms: who was told 80 % stays there, and a refusal says whose it would cost."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache, cached_property

import pytest

from haulm.advice.acceptance import Verdict
from haulm.advice.floors import POINT
from haulm.advice.may_promise import MayPromise, may_promise
from haulm.demand.dated_line import DatedLine
from haulm.farm.words import LineClass
from haulm.matching.allocation.match import match, rematch
from haulm.matching.allocation.result import MatchResult
from haulm.matching.pools.counting import Engine
from support import scale
from support.moments import judged_anew
from support.random_farms import RandomFarm, random_farm

FARMS = scale.count(usual=150, large=1000)
LEVEL = 0.8
SEASONS = 10
MOST = 40


@dataclass(frozen=True, eq=False)
class Step:
    """One promise asked: who stood before, what was asked, the verdict."""

    farm: RandomFarm
    before: tuple[DatedLine, ...]
    new: DatedLine
    found: Verdict

    @cached_property
    def sure_before(self) -> dict[DatedLine, float]:
        """Every line's confidence without the new one, by a whole match that counts another way."""
        return sure(match(self.before, self.farm.supply, self.farm.keeping, engine=Engine.FLOW))

    @cached_property
    def sure_after(self) -> dict[DatedLine, float]:
        """The same with the new one."""
        return sure(match((*self.before, self.new), self.farm.supply, self.farm.keeping, engine=Engine.FLOW))


@pytest.mark.parametrize("seed", range(FARMS))
def test_a_promise_accepted_at_80_lowers_no_earlier_one_below_80(seed: int) -> None:
    for step in steps(seed):
        if step.found.accepted:
            assert min(guarded(step.sure_after).values(), default=1.0) >= LEVEL - POINT - 1e-9


@pytest.mark.parametrize("seed", range(FARMS))
def test_a_refused_promise_names_those_who_would_fall_and_it_is_true(seed: int) -> None:
    for step in steps(seed):
        below = {line: share for line, share in guarded(step.sure_after).items() if share < LEVEL - POINT - 1e-9}
        is_unsure = step.sure_after[step.new] < LEVEL - 1e-9
        below.pop(step.new, None)
        assert {fall.line: fall.after for fall in step.found.falls} == pytest.approx(below)
        assert step.found.accepted is not (is_unsure or bool(below))


@pytest.mark.parametrize("seed", range(FARMS))
def test_those_displaced_are_less_sure_and_keep_their_level(seed: int) -> None:
    for step in steps(seed):
        for fall in step.found.displaced:
            assert LEVEL - POINT - 1e-9 <= fall.after < fall.before
            (line,) = fall.lines
            assert (fall.before, fall.after) == pytest.approx((step.sure_before[line], step.sure_after[line]))


@pytest.mark.parametrize("seed", range(FARMS))
def test_the_most_that_may_be_promised_passes_and_one_more_does_not(seed: int) -> None:
    *_, last = steps(seed)
    found = most_of(last)

    def passes(stems: int) -> bool:
        return judged(last.farm, last.before, replace(last.new, stems=stems)).accepted

    assert found.stems == 0 or passes(found.stems)
    assert found.stems == MOST or not passes(found.stems + 1)
    every = [stems for stems in range(1, MOST + 1) if passes(stems)]
    if every == list(range(1, len(every) + 1)):
        assert found.stems == len(every)


def test_the_random_promises_are_accepted_refused_and_displace() -> None:
    found = [step.found for seed in range(150) for step in steps(seed)]
    assert sum(verdict.accepted for verdict in found) > 150
    assert sum(bool(verdict.falls) for verdict in found) > 5
    assert sum(bool(verdict.displaced) for verdict in found) > 5


@cache
def steps(seed: int) -> tuple[Step, ...]:
    """A farm that promises nothing yet is asked for its lines one after the other, each in its real place."""
    return tuple(asked_in_turn(random.Random(seed)))


def asked_in_turn(dice: random.Random) -> Iterator[Step]:
    farm = random_farm(dice, seasons=SEASONS)
    standing: tuple[DatedLine, ...] = ()
    for number, line in enumerate(dice.sample(farm.lines, len(farm.lines))):
        line_class = LineClass.HOLD if line.is_spare else line.line_class
        new = replace(
            line,
            order=f"p{number}",
            stems=dice.randint(1, 3),
            minimum=0 if dice.random() < 0.7 else 1,
            line_class=line_class,
            class_rank=list(LineClass).index(line_class),
            is_spare=False,
            promised_confidence=LEVEL,
        )
        found = judged(farm, standing, new)
        yield Step(farm, standing, new, found)
        standing = (*standing, new) if found.accepted else standing


def judged(farm: RandomFarm, standing: tuple[DatedLine, ...], new: DatedLine) -> Verdict:
    before = match(standing, farm.supply, farm.keeping)
    after = rematch(before, (*standing, new), farm.supply)
    return judged_anew(before, after, [new], LEVEL)


def most_of(step: Step) -> MayPromise:
    return may_promise(lambda stems: judged(step.farm, step.before, replace(step.new, stems=stems)), free=3, most=MOST)


def guarded(shares: dict[DatedLine, float]) -> dict[DatedLine, float]:
    """The lines that keep a floor: the stall takes the rest."""
    return {line: share for line, share in shares.items() if line.line_class is not LineClass.STALL}


def sure(result: MatchResult) -> dict[DatedLine, float]:
    """The weight of the seasons in which each line gets all it asks."""
    weights = result.supply.weights
    return {line: float(weights[result.filled(at) == line.stems].sum()) for at, line in enumerate(result.lines)}

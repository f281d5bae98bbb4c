"""Re-matches of a plan for one gap: with lines changed, with more cut days, with stems hung to dry."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import numpy as np

from haulm.advice.floors import kept_level
from haulm.advice.options.option import Proof
from haulm.advice.options.situation import Changes, Situation, Trial
from haulm.demand.dated_line import DatedLine
from haulm.farm.quantities import reaches
from haulm.matching.allocation.match import rematch, rematch_cutting
from haulm.matching.allocation.result import MatchResult
from haulm.matching.allocation.trial import PoolName, SupplyTrial
from haulm.matching.reading.confidence import confidence, expected_missing, mean_of, weight_of
from haulm.matching.supply import Block, Supply
from haulm.planning.plan import Plan

_Key = tuple[str, date, bool]


class LineTrials:
    """Trials of one gap; each is a match of the whole farm, or equal to one."""

    def __init__(self, plan: Plan, situation: Situation) -> None:
        """Nothing is tried yet."""
        self._plan = plan
        self._own = [_key(line) for line in situation.lines]

    def with_lines(self, changes: Changes) -> Trial:
        """The farm with some lines changed or gone; a line that goes takes its spare with it."""
        gone = {(line.line, line.due) for line, now in changes.items() if now is None}
        result = self._plan.result
        lines = [changes.get(line, line) for line in result.lines if (line.line, line.due) not in gone]
        return self._judged(rematch(result, [line for line in lines if line is not None], result.supply))

    def with_cuts(self, days: tuple[date, ...]) -> Trial:
        """The farm cutting on some more days."""
        result = self._plan.result
        keeping = replace(result.keeping, extra_cut_days=frozenset(days))
        return self._judged(rematch_cutting(result, keeping))

    def with_supply(self, supply: Supply) -> Trial:
        """The farm with other stems in the same seasons."""
        result = self._plan.result
        return self._judged(rematch(result, result.lines, supply))

    def with_block(self, name: PoolName, block: Block) -> Trial:
        """The farm with more stems of one product."""
        result = self._plan.result
        places = {_key(line): place for place, line in enumerate(result.lines)}
        own = [places[key] for key in self._own]
        weights = result.supply.weights
        stems = SupplyTrial(result, own).filled({name: (block,)})
        missing = [result.lines[place].stems - got for place, got in zip(own, stems, strict=True)]
        sure = tuple(weight_of(lack == 0, weights) for lack in missing)
        return Trial(Proof(sure, sum(mean_of(lack, weights) for lack in missing)))

    def _judged(self, after: MatchResult) -> Trial:
        places = {_key(line): place for place, line in enumerate(after.lines)}
        own = [places[key] for key in self._own]
        sure = tuple(confidence(after, at) for at in own)
        proof = Proof(sure, sum(expected_missing(after, at) for at in own))
        return Trial(proof, tuple(self._falls(after, places)))

    def _falls(self, after: MatchResult, places: dict[_Key, int]) -> Iterator[DatedLine]:
        """The other lines that would be less sure than they must be kept."""
        before = self._plan.result
        own = set(self._own)
        for place, line in enumerate(before.lines):
            now = places.get(_key(line))
            if line.is_spare or now is None or _key(line) in own or _same(before, place, after, now):
                continue
            floor = kept_level(line, self._plan.outlooks[place].confidence)
            if not reaches(confidence(after, now), floor):
                yield line


def _same(before: MatchResult, place: int, after: MatchResult, now: int) -> bool:
    """Whether a line takes the same stems in both."""
    then, since = before.takes[place], after.takes[now]
    return len(then) == len(since) and all(
        a.stems is b.stems or np.array_equal(a.stems, b.stems) for a, b in zip(then, since, strict=True)
    )


def _key(line: DatedLine) -> _Key:
    return (line.line, line.due, line.is_spare)

"""The match: who gets which stems, in every season; whole, or only what a change can reach."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.matching.allocation.allocate import allocate
from haulm.matching.allocation.candidates import all_candidates, strict_order
from haulm.matching.allocation.rematching import (
    allocations_after,
    candidates_after,
    changed_pools,
    line_change,
    same_lines,
)
from haulm.matching.allocation.result import MatchResult
from haulm.matching.pools.counting import Engine
from haulm.matching.supply import Keeping, Supply


def match(lines: Iterable[DatedLine], supply: Supply, keeping: Keeping, *, engine: Engine | None = None) -> MatchResult:
    """Who gets which stems, in every season.

    Args:
        lines: the demand, in any order.
        supply: pools of stems over seasons; one season for an expected one.
        keeping: the farm's rules; it names every product that has a pool.
        engine: insist on one way to count, for tests; None takes the quicker one that fits each pool.

    Returns:
        What each line takes from each pool; unique, the same for any order of the inputs.

    Raises:
        CannotCount: an engine was insisted on that doesn't fit.

    Source: the rules of the project's own model (docs/engineer/model.md).
    """
    ordered = strict_order(lines)
    candidates = all_candidates(ordered, supply, keeping, engine)
    takes = allocate(candidates.in_order, candidates)
    return MatchResult(ordered, supply, keeping, tuple(takes), candidates)


def rematch(previous: MatchResult, lines: Iterable[DatedLine], supply: Supply) -> MatchResult:
    """The match of changed lines or pools under the same rules; only what the change can reach is worked out.

    Equal to a full match. A change reaches a line where it changes what the line may take, the stems of a pool of the
    line, or what an earlier line takes of one. Pools that are the same objects, or hold the same stems in the same
    lots, count as unchanged.

    Args:
        previous: an earlier match.
        lines: all lines that now stand, in any order.
        supply: all pools that now stand.

    Returns:
        The match of these lines and pools.
    """
    change = line_change(previous, lines)
    if not np.array_equal(supply.weights, previous.supply.weights):
        return match(change.lines, supply, previous.keeping)
    changed = changed_pools(previous.supply, supply)
    candidates = candidates_after(previous, change, supply, changed)
    takes = allocations_after(previous, change, candidates, changed)
    return MatchResult(change.lines, supply, previous.keeping, tuple(takes), candidates)


def rematch_cutting(previous: MatchResult, keeping: Keeping) -> MatchResult:
    """The match of the same lines and pools under rules that differ in extra cut days only; equal to a full match.

    Args:
        previous: an earlier match.
        keeping: its rules with other extra cut days.

    Returns:
        The match under these rules.
    """
    candidates = previous.candidates.cutting(keeping)
    takes = allocations_after(previous, same_lines(previous), candidates, frozenset())
    return MatchResult(previous.lines, previous.supply, keeping, tuple(takes), candidates)

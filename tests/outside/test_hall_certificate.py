"""Checked against Hall's theorem (P. Hall, 1935): why a line is short is a proof that anybody can add up.

A certificate names lots, what is in them, and the earlier lines that hold them. It proves that the line can have no
more if every lot that it, or one of those lines, can use is among the lots named, and what they hold with what it could
have is all that is in them. Which lots a line can use is read here day by day, by a second reading of the rules.
"""

from __future__ import annotations

import random

import pytest

from haulm.matching.allocation.match import match
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.why import UsedUp, why
from support import scale
from support.match_judge import long_enough, season_stems, usable_lots
from support.random_farms import RandomFarm, random_farm

PARTS = 10


@pytest.mark.parametrize("part", range(PARTS))
def test_every_certificate_adds_up_by_hand(part: int) -> None:
    farms = scale.count(usual=500, large=10_000) // PARTS
    short = 0
    for number in range(part * farms, (part + 1) * farms):
        farm = random_farm(random.Random(number))
        result = match(farm.lines, farm.supply, farm.keeping)
        for season in range(farm.supply.seasons):
            for place in range(len(result.lines)):
                found = why(result, place, season)
                short += found.missing > 0
                for used_up in found.used_up:
                    assert_proof(farm, result, (place, season), used_up)
    assert short > farms / 2


def assert_proof(farm: RandomFarm, result: MatchResult, where: tuple[int, int], used_up: UsedUp) -> None:
    """The numbers add up, are those of the match, and nobody named can use a lot that is not."""
    place, season = where
    (pool,) = (p for p in farm.supply.pools if (p.product, p.length_cm) == (used_up.product, used_up.length_cm))
    stems = season_stems(pool, season)
    named = {lot for lot, found in enumerate(pool.lots) if found in used_up.lots and stems[lot]}

    assert used_up.stems == sum(stems[lot] for lot in named)
    assert used_up.stems == used_up.could_have + sum(held.stems for held in used_up.held)
    for held in used_up.held:
        assert held.line < place
        assert held.stems == result.given(held.line, pool.product, pool.length_cm)[season]
    for line in (place, *(held.line for held in used_up.held)):
        assert pool in long_enough(farm, result.lines[line], pool.product)
        usable = {lot for lot in usable_lots(farm, result.lines[line], pool) if stems[lot]}
        assert usable <= named

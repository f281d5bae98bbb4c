"""What lines may take is found anew only where lines that differ can change it, and is as from the start."""

import random
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from haulm.matching.allocation.candidates import all_candidates, strict_order
from haulm.matching.allocation.match import match
from support.random_farms import random_farm


@given(st.integers(0, 10**6))
def test_wishes_kept_over_other_lines_are_those_made_from_the_start(seed: int) -> None:
    dice = random.Random(seed)
    farm = random_farm(dice, seasons=2)
    known = match(farm.lines, farm.supply, farm.keeping).candidates
    lines = farm.lines
    for _ in range(3):
        lines = tuple(replace(line, stems=line.stems + 3) if dice.random() < 0.2 else line for line in lines)
        lines = strict_order(line for line in lines if dice.random() < 0.9)
        known = known.with_lines(lines)
        fresh = all_candidates(lines, farm.supply, farm.keeping)

        assert [known.of(line) for line in lines] == [fresh.of(line) for line in lines]


def test_a_choice_far_from_what_differs_keeps_its_wish() -> None:
    kept = found = 0
    for seed in range(60):
        farm = random_farm(random.Random(seed), seasons=2)
        before = match(farm.lines, farm.supply, farm.keeping)
        lines = before.lines[:-1]
        after = before.candidates.with_lines(lines)
        for line in lines:
            if line.choice is not None:
                found += 1
                kept += after.of(line) is before.candidates.of(line)

    assert found > kept > found // 2

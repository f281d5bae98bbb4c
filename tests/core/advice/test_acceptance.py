"""Accepting a promise: the new lines sure enough, and nobody promised before the worse for it."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import timedelta

import pytest

from haulm.advice.acceptance import NewPromise, Verdict, verdict
from haulm.advice.floors import POINT, Floors
from haulm.advice.shortfalls import LineOutlook
from haulm.demand.dated_line import DatedLine
from haulm.farm.words import LineClass
from haulm.matching.allocation.match import match
from haulm.matching.allocation.result import MatchResult
from haulm.matching.pools.counting import Engine
from support import scale
from support.advice_builders import dated_line, outlook
from support.moments import judged_anew, moment_with
from support.random_farms import TODAY, RandomFarm, random_farm

LEVEL = 0.8
SEASONS = 5
NEW = "new-wedding"


class TestVerdict:
    def test_a_new_line_below_the_level_is_not_accepted(self) -> None:
        found = judged([], [outlook(0.79, new_line())])
        assert not found.accepted and [o.line.order for o in found.unsure] == [NEW]

    def test_an_order_is_not_accepted_where_its_lines_are_seldom_filled_together(self) -> None:
        after = [outlook(0.85, new_line("n1")), outlook(0.85, new_line("n2"))]
        assert judged([], after, joint=0.81).accepted
        assert not judged([], after, joint=0.79).accepted

    @pytest.mark.parametrize(("after", "falls"), [(0.8, False), (0.79, False), (0.78, True)])
    def test_an_earlier_line_keeps_what_it_was_promised_but_for_a_point(self, after: float, falls: bool) -> None:
        line = dated_line(promised_confidence=0.8)
        found = judged([outlook(0.95, line)], [outlook(after, line)])
        assert bool(found.falls) is falls

    def test_a_line_that_was_less_sure_than_promised_keeps_what_it_had(self) -> None:
        line = dated_line(promised_confidence=0.9)
        assert not judged([outlook(0.6, line)], [outlook(0.6, line)]).falls
        (fall,) = judged([outlook(0.6, line)], [outlook(0.55, line)]).falls
        assert (fall.floor, fall.before, fall.after) == (0.6, 0.6, 0.55)

    def test_a_line_with_no_level_of_its_own_was_promised_at_the_farms_usual_one(self) -> None:
        assert not judged([outlook(0.95)], [outlook(0.81)]).falls
        assert judged([outlook(0.95)], [outlook(0.78)]).falls

    def test_spare_and_stall_were_promised_to_nobody(self) -> None:
        spare = dated_line("s", is_spare=True)
        stall = dated_line("t", line_class=LineClass.STALL)
        before = [outlook(1.0, spare), outlook(1.0, stall)]
        assert judged(before, [outlook(0.0, spare), outlook(0.0, stall)]).falls == ()

    def test_the_worst_fall_is_named_first(self) -> None:
        lines = [dated_line("a"), dated_line("b"), dated_line("c")]
        before = [outlook(0.9, line) for line in lines]
        after = [outlook(sure, line) for sure, line in zip((0.7, 0.3, 0.5), lines, strict=True)]
        assert [fall.what.line for fall in judged(before, after).falls][:3] == ["b", "c", "a"]

    def test_a_line_is_told_from_its_own_spare(self) -> None:
        line = dated_line(promised_confidence=0.9)
        spare = replace(line, is_spare=True, stems=5, promised_confidence=None)
        before = [outlook(1.0, line), outlook(0.2, spare)]
        (fall,) = judged(before, [outlook(0.0, line), outlook(0.2, spare)]).falls
        assert (fall.line, fall.before, fall.after) == (line, 1.0, 0.0)
        assert not judged(before, [outlook(1.0, line), outlook(0.0, spare)]).falls

    def test_a_delivery_keeps_its_joint_level_though_each_line_keeps_its_own(self) -> None:
        lines = [dated_line(name, order="both", promised_confidence=0.8) for name in ("a", "b")]
        before = moment_with([outlook(0.95, line) for line in lines], joint=0.8175)
        after = moment_with([outlook(0.85, line) for line in lines], joint=0.7335)
        (fall,) = verdict(before, after, NewPromise(NEW, 0.8, 1.0), Floors()).falls
        assert (fall.what.line, fall.lines, fall.before, fall.after) == (None, tuple(lines), 0.8175, 0.7335)

    def test_lines_that_are_promised_anew_are_judged_by_the_level_and_the_others_of_their_order_by_their_floors(
        self,
    ) -> None:
        old, new = dated_line("old", order=NEW), new_line("new")
        promise = NewPromise(NEW, 0.8, 0.85, frozenset({(new.line, new.due)}))
        before = moment_with([outlook(0.5, old)])
        after = moment_with([outlook(0.5, old), outlook(0.85, new)], joint=0.85)
        assert verdict(before, after, promise, Floors()).accepted
        lower = moment_with([outlook(0.4, old), outlook(0.85, new)], joint=0.85)
        assert [fall.line for fall in verdict(before, lower, promise, Floors()).falls] == [old]


@pytest.mark.parametrize("seed", range(scale.count(usual=150, large=5000)))
def test_an_accepted_wedding_takes_no_earlier_line_below_what_it_must_keep(seed: int) -> None:
    farm, new, found = wedding_asked(random.Random(seed))
    before, after = by_flow(farm, farm.lines), by_flow(farm, (*farm.lines, *new))
    kept = all(sure(after, line) >= floor(before, line) - POINT - 1e-9 for line in promised(farm))
    assert kept or not found.accepted


@pytest.mark.parametrize("seed", range(scale.count(usual=150, large=5000)))
def test_a_refusal_names_exactly_those_who_would_fall_and_to_what(seed: int) -> None:
    farm, new, found = wedding_asked(random.Random(seed))
    before, after = by_flow(farm, farm.lines), by_flow(farm, (*farm.lines, *new))
    named = {fall.line: fall.after for fall in found.falls if fall.line is not None}
    now = {line: (sure(before, line), sure(after, line)) for line in promised(farm)}
    truly = {line: share for line, (then, share) in now.items() if is_below(then, share, line)}
    assert named == pytest.approx(truly)


def test_the_random_weddings_hold_both_accepted_and_refused_ones() -> None:
    verdicts = [wedding_asked(random.Random(seed))[2] for seed in range(150)]
    assert any(found.accepted for found in verdicts)
    assert sum(1 for found in verdicts if found.falls) >= 10


def judged(before: list[LineOutlook], after: list[LineOutlook], joint: float = 1.0) -> Verdict:
    return verdict(moment_with(before), moment_with(after), NewPromise(NEW, LEVEL, joint), Floors())


def new_line(line: str = "n1", **changes: object) -> DatedLine:
    return dated_line(line, order=NEW, **changes)


def wedding_asked(dice: random.Random) -> tuple[RandomFarm, tuple[DatedLine, ...], Verdict]:
    """A random farm, the lines of a wedding asked of it, and the verdict."""
    farm = random_farm(dice, seasons=SEASONS)
    promised = (line for line in farm.lines if not line.is_spare)
    levels = {line: replace(line, promised_confidence=dice.choice((None, 0.4, 0.8))) for line in promised}
    farm = replace(farm, lines=tuple(levels.get(line, line) for line in farm.lines))
    new = tuple(wedding_line(dice, farm, number) for number in range(dice.randint(1, 2)))
    before = match(farm.lines, farm.supply, farm.keeping)
    after = match((*farm.lines, *new), farm.supply, farm.keeping)
    return farm, new, judged_anew(before, after, new, LEVEL)


def wedding_line(dice: random.Random, farm: RandomFarm, number: int) -> DatedLine:
    return replace(
        new_line(f"n{number}", due=TODAY + timedelta(days=dice.randint(2, 15)), stems=dice.randint(1, 6)),
        product=dice.choice(sorted(farm.keeping.products)),
        line_class=LineClass.WEDDING,
        class_rank=list(LineClass).index(LineClass.WEDDING),
        committed_on=TODAY,
    )


def by_flow(farm: RandomFarm, lines: tuple[DatedLine, ...]) -> MatchResult:
    """The same match by another way of counting."""
    return match(lines, farm.supply, farm.keeping, engine=Engine.FLOW)


def sure(result: MatchResult, line: DatedLine) -> float:
    filled = result.filled(result.places[line]) == line.stems
    return float(result.supply.weights[filled].sum())


def floor(before: MatchResult, line: DatedLine) -> float:
    level = 0.8 if line.promised_confidence is None else line.promised_confidence
    return min(level, sure(before, line))


def is_below(before: float, after: float, line: DatedLine) -> bool:
    level = 0.8 if line.promised_confidence is None else line.promised_confidence
    return after < before - 1e-9 and after < min(level, before) - POINT - 1e-9


def promised(farm: RandomFarm) -> list[DatedLine]:
    """Lines that somebody was promised."""
    return [line for line in farm.lines if not line.is_spare and line.line_class is not LineClass.STALL]

"""Checked against a judge of promises written from the rules alone: Hall's theorem (1935), all subsets of windows.

Random farms of ten to twenty lots a pool, twenty seasons of very unequal weight, orders of every kind with spares,
minimums, choices, substitutes and two levels; between the promises orders are let go and the seasons are drawn anew.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterable

import pytest

from haulm.advice import floors
from haulm.advice.floors import Guarded, Sure, following, sureness
from haulm.advice.may_promise import may_promise
from haulm.advice.shortfalls import LineOutlook
from haulm.demand.dated_line import DatedLine
from haulm.farm.words import LineClass
from support import moments, scale
from support.match_judge import flow_judge, judged
from support.promise_comparison import ProgramBook, history_differences, judged_by_judge, judged_by_program
from support.promise_farms import History, Step, random_history
from support.promise_judge import Ruling, may_promise_faults
from support.promise_match import Ground, name_of
from support.random_farms import random_farm

PARTS = 10
FARMS = scale.count(usual=30, large=1000)
PROMISES = 12
MOST = 30
BROKEN_FARMS = 150
"""A broken key is found on one of so many farms; the search ends with the first."""


@pytest.mark.parametrize("part", range(PARTS))
def test_verdicts_and_floors_are_the_judges(part: int) -> None:
    for number in range(part, FARMS, PARTS):
        assert history_differences(history(number)) == [], number


@pytest.mark.parametrize("part", range(PARTS))
def test_the_most_that_may_be_promised_passes_and_one_more_does_not(part: int) -> None:
    for number in range(part, FARMS, PARTS):
        for step in [step for step, _ in rulings(number) if len(step.new) == 1][-2:]:
            assert may_promise_differences(step) == [], number


@pytest.mark.parametrize("number", range(scale.count(usual=60, large=2000)))
def test_the_judge_gives_every_line_what_a_solver_gives_it(number: int) -> None:
    farm = random_farm(random.Random(number))
    by_hall = Ground(farm.supply, farm.keeping).serve(farm.lines).stems
    for season in range(farm.supply.seasons):
        by_flow = Counter[str]()
        for (line, _, _), stems in judged(farm, season, flow_judge).items():
            by_flow[line] += stems
        assert {line.line: by_flow[line.line] for line in farm.lines} == {
            line.line: by_hall[name_of(line)][season] for line in farm.lines
        }


def test_the_random_promises_hold_every_case() -> None:
    told = Counter(word for number in range(50) for step, right in rulings(number) for word in words_of(step, right))

    assert told["accepted"] > 150 and told["unsure"] > 150
    assert min(told["a line falls"], told["a delivery falls"], told["displaced"]) >= 5
    assert min(told[str(wanted)] for wanted in LineClass) >= 10
    assert min(told["choice"], told["minimum"], told["substitute"], told["changed"]) >= 10


def test_a_line_taken_for_its_spare_is_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(floors, "guarded_lines", by_line_and_day)
    assert is_found_out()


def test_deliveries_without_a_floor_are_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(moments, "sureness", lines_alone)
    assert is_found_out()


def test_floors_that_do_not_owe_are_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(floors, "following", lambda sure, debt: following(sure, 0.0))
    assert is_found_out()


def history(number: int) -> History:
    return random_history(random.Random(number), promises=PROMISES)


def rulings(number: int) -> list[tuple[Step, Ruling]]:
    """The steps of a history as the judge has them, with what it says of each."""
    told: list[tuple[Step, Ruling]] = []
    played = history(number)
    for step in played.steps():
        right = judged_by_judge(step, step.after)
        told.append((step, right))
        if right.accepted:
            played.made(step)
        else:
            played.refused(step)
    return told


def may_promise_differences(step: Step) -> list[str]:
    """What is wrong with the most that may be promised of the one new line of a step."""
    (new,), book = step.new, ProgramBook.like(step.book)
    found = may_promise(
        lambda stems: judged_by_program(step, step.asking(stems), book),
        free=new.stems,
        most=MOST,
        is_choice=new.choice is not None,
    )
    return may_promise_faults(
        found.stems, found.also, lambda stems: judged_by_judge(step, step.asking(stems)).accepted, most=MOST
    )


def words_of(step: Step, right: Ruling) -> list[str]:
    """What a step is an example of."""
    told = ["accepted" if right.accepted else "refused", *(["displaced"] if right.displaced else [])]
    told += [] if right.is_sure else ["unsure"]
    told += [f"a {'delivery' if line is None else 'line'} falls" for _, _, line in right.falls]
    told += ["changed"] if step.asked.own is not None else []
    told += [str(line.line_class) for line in step.after if line not in step.before]
    told += [word for line in step.new for word, is_so in _asked_of(line).items() if is_so]
    return told


def _asked_of(line: DatedLine) -> dict[str, bool]:
    return {"choice": line.choice is not None, "minimum": line.minimum > 0, "substitute": bool(line.substitutes)}


def is_found_out() -> bool:
    """Whether some history differs from the judge's."""
    return any(history_differences(history(number)) for number in range(BROKEN_FARMS))


def by_line_and_day(outlooks: Iterable[LineOutlook]) -> list[LineOutlook]:
    """The guarded lines by the old key: a spare takes the place of its line."""
    kept = {
        (outlook.line.line, outlook.line.due): outlook
        for outlook in outlooks
        if outlook.line.line_class is not LineClass.STALL
    }
    return list(kept.values())


def lines_alone(
    outlooks: Iterable[LineOutlook], joint_of: Callable[[tuple[DatedLine, ...]], float]
) -> dict[Guarded, Sure]:
    """What is guarded, deliveries left out."""
    return {what: sure for what, sure in sureness(outlooks, joint_of).items() if what.line is not None}

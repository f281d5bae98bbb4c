"""Advice that no grower would follow, as it once was given: none of it is given any more."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta

import pytest

from haulm.advice.options.last_resorts import purchases
from haulm.advice.options.option import TRIFLE_MINOR, Option, Proof, Worth
from haulm.advice.shortfalls import Gap
from haulm.farm.batches import Batch
from haulm.farm.words import Method
from haulm.planning.remedies import remedies, situation_of
from support.demo_farms import demo_plan
from support.planned_farms import TODAY

LEVEL = 0.8
HARDLY_SOLD = ("bupleurum", "cornflower_blue", "daucus_carota", "sunflower_single", "lagurus")
BEFORE = Proof((0.7,), 18.0)
SEED = Batch("extra", "sunflower_single", TODAY + timedelta(days=30), Method.HEATED, sown=970, trays=10.0)
PLUGS = replace(SEED, variety="zinnia_white", method=Method.PLUGS, sow_date=None, plant_out_date=TODAY, sown=250)
DEAR = Worth(2910, 4500, 0, 18.0, 9.0, 900, 690, 180, 720)


def made(batch: Batch | None, worth: Worth | None = DEAR, kind: str = "succession", **more: object) -> Option:
    """An option such as was once recommended."""
    batches = () if batch is None else (batch,)
    option = Option(kind, kind, TODAY, BEFORE, Proof((0.82,), 9.0), True, batches=batches, worth=worth)
    return replace(option, **more)  # type: ignore[arg-type]


def places(option: Option) -> int:
    return sum(batch.places for batch in option.batches)


def hundreds_for_a_few(option: Option) -> bool:
    worth = option.worth
    dear = worth is not None and worth.net_minor > TRIFLE_MINOR
    return dear and worth is not None and places(option) > 20 * max(1.0, worth.gained_stems)


def far_too_much(option: Option) -> bool:
    worth = option.worth
    if worth is None or not worth.is_plenty:
        return False
    return worth.net_minor > max(TRIFLE_MINOR, worth.gained_minor, worth.bought_minor)


def dear_for_two_stems(option: Option) -> bool:
    worth = option.worth
    return bool(option.batches) and worth is not None and worth.gained_stems < 2 and worth.net_minor > TRIFLE_MINOR


def plugs_on_the_day(option: Option) -> bool:
    return any(
        one.method is Method.PLUGS and (one.plant_out_date or TODAY) < TODAY + timedelta(weeks=6)
        for one in option.batches
    )


def plugs_nobody_sells(option: Option) -> bool:
    return any(one.method is Method.PLUGS and one.variety in HARDLY_SOLD for one in option.batches)


def bought_and_no_price(option: Option) -> bool:
    return option.kind in ("plugs", "buy_in", "fleece") and not option.cost_minor


def on_a_sunday(option: Option) -> bool:
    days = [option.act_by, option.decide_by, *(one.sow_date for one in option.batches), *option.cut_days]
    return any(day is not None and day.isoweekday() == 7 for day in days)


SUNDAY = date(2027, 3, 21)
ABSURD: tuple[tuple[Callable[[Option], bool], Option, bool], ...] = (
    (hundreds_for_a_few, made(SEED), True),
    (far_too_much, made(replace(SEED, sown=410)), True),
    (dear_for_two_stems, made(SEED, Worth(280, 900, 0, 1.8, 0.6, 40, 2, 1)), True),
    (plugs_on_the_day, made(PLUGS, kind="plugs", cost_minor=5_500), False),
    (plugs_nobody_sells, made(replace(PLUGS, variety="bupleurum"), kind="plugs", cost_minor=5_500), False),
    (bought_and_no_price, made(PLUGS, kind="plugs"), False),
    (on_a_sunday, made(replace(SEED, sow_date=SUNDAY)), False),
)
"""What makes an option absurd; one such as was given; whether only what is recommended must not be so, or no option."""


@pytest.fixture(scope="module")
def options() -> list[tuple[Gap, Option]]:
    """Every option of every gap of the demo farm in mid March."""
    plan = demo_plan()
    return [(gap, option) for gap in plan.gaps(LEVEL) for option in remedies(plan, gap)]


def of_plugs(options: list[tuple[Gap, Option]]) -> Iterator[tuple[Option, str, date]]:
    for _, option in options:
        for one in option.batches:
            if one.method is Method.PLUGS:
                assert one.plant_out_date is not None
                yield option, one.variety, one.plant_out_date


def test_no_option_costs_more_than_the_promises_it_keeps_but_as_the_last_and_only_way(
    options: list[tuple[Gap, Option]],
) -> None:
    for gap in {gap for gap, _ in options}:
        own = [option for of, option in options if of == gap]
        assert all(option.is_in_proportion for option in own[:-1])
        assert own[-1].is_in_proportion or (own[-1].closes and not any(option.closes for option in own[:-1]))


def test_a_sowing_that_leaves_many_times_what_is_missing_says_so_and_is_cheap(
    options: list[tuple[Gap, Option]],
) -> None:
    for gap, option in options:
        worth = option.worth
        if option.batches and worth is not None and worth.is_plenty:
            assert worth.surplus_stems > 3 * gap.expected_missing
            assert f"about {worth.surplus_stems} stems more than are short" in option.sentence
            most = max(TRIFLE_MINOR, worth.gained_minor, worth.bought_minor)
            assert worth.net_minor <= most or not option.is_in_proportion


def test_plugs_are_of_kinds_that_are_sold_so_and_are_never_planted_the_day_they_are_thought_of(
    options: list[tuple[Gap, Option]],
) -> None:
    hardly_sold = {"bupleurum", "cornflower_blue", "daucus_carota", "sunflower_single", "lagurus"}
    for option, kind, day in of_plugs(options):
        assert kind not in hardly_sold
        assert day >= TODAY + timedelta(weeks=6)
        assert option.order_by is not None and option.cost_minor


def test_nothing_is_sown_ordered_or_said_on_a_sunday(options: list[tuple[Gap, Option]]) -> None:
    for _, option in options:
        assert option.act_by.isoweekday() != 7 and option.decide_by.isoweekday() != 7


def test_nothing_is_bought_in_before_it_has_to_be(options: list[tuple[Gap, Option]]) -> None:
    plan = demo_plan()
    for gap in {gap for gap, _ in options}:
        found = purchases(situation_of(plan, gap), condition_days=1, hold_days=4)
        weeks = len(gap.weeks)
        assert sum(one.stems for one in found) <= gap.expected_missing + len(found)
        assert weeks < 3 or len(found) >= weeks / 2
        assert all(one.until - one.by <= timedelta(days=5) for one in found)


def test_the_largest_gap_is_told_in_spring_while_a_tray_of_seed_closes_it(options: list[tuple[Gap, Option]]) -> None:
    largest = max({gap for gap, _ in options if gap.asked == "lagurus"}, key=lambda gap: gap.expected_missing)
    best = next(option for gap, option in options if gap == largest)
    assert best.closes and best.kind == "succession" and best.cost_minor is not None and best.cost_minor <= 500
    assert TODAY < best.act_by < date(2027, 6, 1)


@pytest.mark.parametrize(("is_absurd", "once", "of_first"), ABSURD, ids=[row[0].__name__ for row in ABSURD])
def test_what_was_once_advised_is_advised_no_more(
    is_absurd: Callable[[Option], bool], once: Option, *, of_first: bool, options: list[tuple[Gap, Option]]
) -> None:
    assert is_absurd(once)
    firsts = dict(reversed(options))
    for gap, option in firsts.items() if of_first else options:
        assert not is_absurd(option), (gap.key, option.sentence)

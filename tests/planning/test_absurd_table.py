"""Every sort of absurd advice that was once given, a row each: the demo farm is given none of them any more."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import pytest

from haulm.advice.options.option import TRIFLE_MINOR, Option, Proof, Worth
from haulm.farm.batches import Batch
from haulm.farm.words import Method
from haulm.planning.remedies import remedies
from support.demo_farms import demo_plan
from support.planned_farms import TODAY

HARDLY_SOLD = ("bupleurum", "cornflower_blue", "daucus_carota", "sunflower_single", "lagurus")
BEFORE = Proof((0.7,), 18.0)
SEED = Batch("extra", "sunflower_single", TODAY + timedelta(days=30), Method.HEATED, sown=970, trays=10.0)
PLUGS = replace(SEED, variety="zinnia_white", method=Method.PLUGS, sow_date=None, plant_out_date=TODAY, sown=250)
DEAR = Worth(2910, 4500, 0, 18.0, 9.0, 900, 690, 180)


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
    return dear and worth is not None and places(option) > 12 * max(1.0, worth.gained_stems)


def far_too_much(option: Option) -> bool:
    worth = option.worth
    return worth is not None and worth.is_plenty and worth.net_minor > max(TRIFLE_MINOR, worth.gained_minor)


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


@pytest.mark.parametrize(("is_absurd", "once", "of_first"), ABSURD, ids=[row[0].__name__ for row in ABSURD])
def test_what_was_once_advised_is_advised_no_more(
    is_absurd: Callable[[Option], bool], once: Option, *, of_first: bool
) -> None:
    assert is_absurd(once)
    plan = demo_plan()
    for gap in plan.gaps(None):
        options = remedies(plan, gap)
        for option in options[:1] if of_first else options:
            assert not is_absurd(option), (gap.key, option.sentence)

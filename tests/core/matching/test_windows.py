"""Which lots a due date accepts."""

import pytest

from haulm.farm.products import Product
from haulm.farm.varieties import Stage
from haulm.farm.words import Form
from haulm.matching.supply import Lot
from haulm.matching.windows import Window, accepted_lots
from support.small_match import AMMI, day, kept, lots, rules

STAGES = (Stage("young", "cream", 0, 1), Stage("mature", "tan", 2, 5))


def ready_days(window: Window, **more: object) -> list[int]:
    """The ready days, counted from today, of standing lots that a window accepts."""
    pool = lots({Lot(day(ready)): 1 for ready in range(-6, 15)})
    found = accepted_lots(window, pool.days, AMMI, rules({AMMI: kept(**more)}))
    return [ready for ready, ok in zip(range(-6, 15), found.tolist(), strict=True) if ok]


def serves(lot: Lot, window: Window, product: Product = AMMI, **more: object) -> bool:
    """Whether one lot serves a window."""
    return bool(accepted_lots(window, lots({lot: 1}, product).days, product, rules({product: kept(**more)}))[0])


def test_a_due_date_takes_what_stands_on_a_cut_day_that_keeps_until_then() -> None:
    # Due on Friday 11: of the cut days only Monday 7 and Thursday 10 lie 1 to 5 days before; three days of standing.
    assert ready_days(Window(day(11))) == [4, 5, 6, 7, 8, 9, 10]


def test_nothing_is_cut_before_today() -> None:
    # Due on Wednesday 2: Monday 0 is the only cut day from today on.
    assert ready_days(Window(day(2))) == [-3, -2, -1, 0]


def test_cut_days_far_apart_leave_ready_days_that_nobody_can_use() -> None:
    assert ready_days(Window(day(11)), stand=1) == [6, 7, 9, 10]


def test_a_due_date_without_a_cut_day_takes_nothing_from_the_field() -> None:
    assert ready_days(Window(day(10)), hold=2) == []


def test_a_greatest_age_leaves_out_the_earlier_cut_days() -> None:
    assert ready_days(Window(day(11), max_age_days=3)) == [7, 8, 9, 10]


def test_a_stage_takes_what_has_stood_for_its_days_when_cut() -> None:
    assert ready_days(Window(day(11), stage="young"), stages=STAGES) == [6, 7, 9, 10]
    assert ready_days(Window(day(11), stage="mature"), stages=STAGES) == [4, 5, 7, 8]


def test_a_stage_that_the_crop_has_not_got_takes_nothing() -> None:
    assert ready_days(Window(day(11), stage="open"), stages=STAGES) == []


@pytest.mark.parametrize(("due", "usable"), [(0, False), (1, True), (5, True), (6, False)])
def test_a_cut_lot_serves_from_conditioned_to_the_end_of_its_keeping_whatever_the_cut_days(
    due: int, usable: bool
) -> None:
    assert serves(Lot(day(-1), day(0)), Window(day(due))) is usable


@pytest.mark.parametrize(("stage", "usable"), [("young", True), ("mature", False), ("open", False)])
def test_a_cut_lot_has_the_stage_it_was_cut_in(stage: str, usable: bool) -> None:
    assert serves(Lot(day(-1), day(0)), Window(day(3), stage=stage), stages=STAGES) is usable


def test_a_cut_lot_older_than_the_greatest_age_serves_no_more() -> None:
    assert serves(Lot(day(-1), day(0)), Window(day(3), max_age_days=3))
    assert not serves(Lot(day(-1), day(0)), Window(day(4), max_age_days=3))


def test_dried_stems_serve_from_their_ready_date_for_ever_and_know_no_stage_or_age() -> None:
    dried = Product("ammi", Form.DRIED)

    assert not serves(Lot(day(3)), Window(day(2)), dried)
    assert serves(Lot(day(3)), Window(day(3)), dried)
    assert serves(Lot(day(3)), Window(day(400), stage="open", max_age_days=0), dried)


@pytest.mark.parametrize("lot", [Lot(day(0), None, day(2)), Lot(day(-1), day(0), day(2))])
def test_no_lot_serves_after_its_last_usable_day(lot: Lot) -> None:
    assert serves(lot, Window(day(2)))
    assert not serves(lot, Window(day(3)))


def test_once_its_last_cut_is_made_a_line_takes_cut_stems_alone_and_before_it_may_leave_them_to_others() -> None:
    standing, cut, dried = Lot(day(5)), Lot(day(5), cut=day(7)), Lot(day(0))
    made, waits = Window(day(11), cut_only=True), Window(day(11), standing_only=True)

    assert ready_days(made) == [] and ready_days(waits) == ready_days(Window(day(11)))
    assert (serves(standing, made), serves(cut, made)) == (False, True)
    assert (serves(standing, waits), serves(cut, waits)) == (True, False)
    in_attic = Product("ammi", Form.DRIED)
    assert (serves(dried, made, in_attic), serves(dried, waits, in_attic)) == (True, False)

"""What waiting costs: a week's part of what the best way is worth, and how a part of a gap is said."""

from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.options.option import Option, Proof, Worth
from haulm.advice.waiting import share_closed, share_in_words, waiting, worth_minor

TODAY = date(2027, 5, 3)
BEFORE = Proof((0.5,), 40.0)


def way(gained: int, days: int, *, net: int = 0, order_days: int | None = None) -> Option:
    """A way that gains so much money, possible for so many days."""
    order_by = None if order_days is None else TODAY + timedelta(days=order_days)
    by = TODAY + timedelta(days=days)
    worth = Worth(net, 0, 0, 40.0, 40.0, gained, 0, 0)
    return Option("succession", "Sow.", by, BEFORE, Proof((0.9,), 2.0), True, worth=worth, order_by=order_by)


def test_what_can_be_done_a_week_later_as_well_costs_nothing_to_wait_with() -> None:
    assert waiting([way(500, 7)], TODAY).week_minor == 0
    assert waiting([way(500, 6)], TODAY).week_minor == 500


def test_waiting_costs_what_the_best_way_left_is_worth_less() -> None:
    found = waiting([way(500, 3, net=20), way(300, 30, net=50)], TODAY)

    assert (found.loses_minor, found.week_minor) == (480, 230)


def test_a_way_that_needs_an_order_is_gone_when_it_can_no_longer_be_ordered() -> None:
    assert waiting([way(500, 30, order_days=3)], TODAY).week_minor == 500


@given(st.lists(st.tuples(st.integers(0, 900), st.integers(0, 60), st.integers(0, 900)), max_size=6))
def test_a_week_never_costs_more_than_there_is_to_lose(given_ways: list[tuple[int, int, int]]) -> None:
    found = waiting([way(gained, days, net=net) for gained, days, net in given_ways], TODAY)

    assert 0 <= found.week_minor <= found.loses_minor


def test_a_way_of_no_known_worth_or_dearer_than_what_it_keeps_is_worth_nothing() -> None:
    assert worth_minor(replace(way(500, 3), worth=None)) == 0
    assert worth_minor(way(100, 3, net=300)) == 0


def test_a_part_is_what_is_no_longer_missing() -> None:
    half = replace(way(1, 1), closes=False, after=Proof((0.6,), 20.0))
    assert (share_closed(half), share_closed(way(1, 1))) == (0.5, 1.0)
    assert share_closed(replace(half, after=None)) == 0.0


def test_parts_are_said_as_people_say_them() -> None:
    shares = (0.1, 0.25, 0.34, 0.5, 0.66, 0.75, 0.9)
    assert [share_in_words(share) for share in shares] == [
        "a little", "a quarter", "a third", "half", "two thirds", "three quarters", "most",
    ]  # fmt: skip

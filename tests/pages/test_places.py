"""Every page lies in one place, and a long list comes in parts."""

import pytest

from haulm.pages.parts import part_of
from haulm.pages.places import FARM, HANDS, ORDERS, PLACES, SEASON, TODAY, WEEK, place_of


@pytest.mark.parametrize(
    ("path", "place", "row"),
    [
        ("/", TODAY, "Today"),
        ("/tonight", TODAY, "Today"),
        ("/year/lagurus", SEASON, "Year"),
        ("/short/lagurus-2027-W37", SEASON, "Gaps"),
        ("/plan/first", SEASON, "Sowings"),
        ("/bucket/2027-06-14", WEEK, "Buckets"),
        ("/farm/kinds", FARM, "The farm"),
        ("/season", FARM, "Honesty"),
        ("/quotes/new", ORDERS, "Quotes"),
    ],
)
def test_an_address_lies_where_its_longest_beginning_lies(path: str, place: object, row: str) -> None:
    found = place_of(path, PLACES)
    assert found is not None and found[0] is place and found[1].name == row


def test_a_name_that_only_begins_alike_is_another() -> None:
    assert place_of("/planet", PLACES) is None
    assert place_of("/walk", ()) is None


def test_there_are_at_most_five_places_and_a_hand_goes_to_the_week_alone() -> None:
    assert len(PLACES) <= 5
    assert [place.path for place in HANDS] == [row.path for row in WEEK.rows]


@pytest.mark.parametrize(
    ("asked", "rows", "number"), [(1, [0, 1, 2], 1), (3, [6], 3), (9, [6], 3)], ids=["first", "last", "beyond"]
)
def test_a_part_holds_its_rows_and_an_end_that_is_overshot_is_the_last(
    asked: int, rows: list[int], number: int
) -> None:
    part = part_of(range(7), asked, size=3)
    assert (list(part.rows), part.number, part.last, part.of) == (rows, number, 3, 7)
    assert (part.first, part.upto) == (rows[0] + 1, rows[-1] + 1)


def test_an_empty_list_is_one_part_of_nothing() -> None:
    part = part_of([], 1)
    assert (part.last, part.first, part.upto, part.of) == (1, 0, 0, 0)

"""What a settled line was sent is what was packed for it less what came back, by the book, spare apart."""

from collections.abc import Callable

import pytest

from haulm.farm.products import Product
from haulm.jobs.bucket_day.packed_stems import PackedStems, line_with, packed_of, posting_key
from haulm.jobs.desk.desk import Desk
from support.bucket_days import BucketDay, bucket_farm
from support.desks import MONDAY, done
from support.forecast_builders import crop
from support.known_farm import PARTY

LAGURUS = Product("lagurus")
TUESDAY = MONDAY.replace(day=15)
CROPS = {key: crop(key=key, name=key, bunch_stems=10) for key in ("lagurus", "nigella")}


@pytest.fixture
def day(open_desk: Callable[[dict[str, bytes]], Desk]) -> BucketDay:
    """Anna asks 60 and bram 20 for Tuesday; 80 are cut for them and settled."""
    found = BucketDay(open_desk(bucket_farm(asked=(60, 20))))
    found.walk(lagurus=100)
    found.cut(90, left=10)
    found.confirm()
    return found


def packed(day: BucketDay, line: str = "anna-1") -> int:
    found = done(day.desk, lambda work: packed_of(work, MONDAY, line, TUESDAY))
    assert all(one.product == LAGURUS and one.stems > 0 for one in found)
    return sum(one.stems for one in found)


def test_a_line_was_sent_what_was_packed_for_it_and_not_what_others_were(day: BucketDay) -> None:
    assert (packed(day), packed(day, "bram-1"), packed(day, "cora-1")) == (60, 20, 0)


def test_what_comes_back_was_not_sent_and_what_has_left_was(day: BucketDay) -> None:
    day.correct("anna-1", 45)
    assert packed(day) == 45

    day.deliver()
    assert (packed(day), packed(day, "bram-1")) == (45, 20)


def test_a_delivery_taken_back_was_sent_nothing(day: BucketDay) -> None:
    day.take_back(order="anna-weekly")

    assert (packed(day), packed(day, "bram-1")) == (0, 20)


def test_spare_is_told_apart_and_comes_last(open_desk: Callable[[dict[str, bytes]], Desk]) -> None:
    day = BucketDay(
        open_desk(bucket_farm(asked=(), orders=PARTY["orders"].replace("2027-06-18", "2027-06-15"), **_LINES))
    )
    day.walk(lagurus=100)
    day.cut(40, left=60)
    day.confirm()

    found = done(day.desk, lambda work: packed_of(work, MONDAY, "party-1", TUESDAY))
    assert [(one.is_spare, one.stems) for one in found] == [(False, 20), (True, 5)]


_LINES = {"order_lines": PARTY["order_lines"]}


def test_keys_of_postings_differ_by_line_pile_spare_and_what_they_are() -> None:
    one, spare = PackedStems(LAGURUS, "r1", False, 5), PackedStems(LAGURUS, "r1", True, 5)
    keys = {
        posting_key(line, TUESDAY, stems, what)
        for line in ("a", "b")
        for stems in (one, spare, PackedStems(LAGURUS, "r2", False, 5))
        for what in ("pack", "back")
    }

    assert len(keys) == 12
    assert posting_key("a", TUESDAY, one, "pack") == posting_key(
        "a", TUESDAY, PackedStems(LAGURUS, "r1", False, 9), "pack"
    )


def test_a_line_is_made_anew_of_its_stems_in_whole_bunches_of_one_kind() -> None:
    packed_now = (
        PackedStems(LAGURUS, "r1", False, 14),
        PackedStems(Product("nigella"), "k3", False, 9),
        PackedStems(LAGURUS, "r1", True, 3),
    )
    known = [{"product": "lagurus", "stock": "r1", "ready_date": "2027-06-14", "length_cm": 40, "cut_date": None}]

    found = line_with({"class": "standing"}, packed_now, known, CROPS)
    assert (found["filled"], found["bunches"], found["over"], found["spare_filled"]) == (23, 1, 13, 3)
    assert found["from"][0] == {**known[0], "stems": 14}
    assert found["from"][1]["ready_date"] is None
    assert line_with({"class": "wedding"}, packed_now, known, CROPS)["over"] == 0

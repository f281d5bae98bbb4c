"""What to cut before frost, heat or hail, in words; the letter of it names nobody."""

from collections.abc import Callable

import pytest

from haulm.errors import NotAccepted
from haulm.farm.words import Threat
from haulm.jobs.desk.desk import Desk
from haulm.jobs.field.cut_before_dark import before_dark_lines, cut_before_dark
from haulm.jobs.field.tell_before_dark import TOLD, before_dark_facts, tell_before_dark
from support.bucket_days import BucketDay, bucket_farm
from support.known_farm import growing_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]


@pytest.fixture
def day(open_desk: OpenDesk) -> BucketDay:
    """Ninety stand ready, and three florists ask 120 for tomorrow."""
    opened = BucketDay(open_desk(bucket_farm()))
    opened.walk(lagurus=90)
    return opened


def test_a_hard_frost_has_what_stands_cut_and_says_for_whom(day: BucketDay) -> None:
    found = cut_before_dark(day.desk, Threat.FROST, -9.0)

    (row,) = found.cut
    assert (found.head, found.min_c) == ("Frost tonight: about -9 °C", -9.0)
    assert row.beds == "North bed, then South bed"
    assert any("Studio Anna Verhoeven" in said for said in row.for_whom)
    assert not found.is_quiet


def test_the_letter_says_the_same_and_names_nobody(day: BucketDay) -> None:
    found = cut_before_dark(day.desk, Threat.FROST, -9.0)
    said = " ".join(line for part in before_dark_facts(found)["parts"] for line in part["lines"])

    assert found.cut[0].by_day in said
    for name in ("Anna", "Bram", "Cora"):
        assert name not in said and any(name in who for who in found.cut[0].for_whom)


def test_a_second_tap_sends_no_second_letter_and_another_threat_does(day: BucketDay) -> None:
    found = cut_before_dark(day.desk, Threat.HEAT)
    assert found.min_c is None
    for _ in range(2):
        day.done(lambda work: tell_before_dark(work, found))

    assert [one.facts["threat"] for one in day.desk.store.entries_of(TOLD)] == ["heat"]

    hail = cut_before_dark(day.desk, Threat.HAIL)
    for what in (hail, found):
        day.done(lambda work, told=what: tell_before_dark(work, told))  # type: ignore[misc]
    assert [one.facts["threat"] for one in day.desk.store.entries_of(TOLD)] == ["heat", "hail", "heat"]


def test_where_nothing_stands_to_lose_that_is_said(open_desk: OpenDesk) -> None:
    found = cut_before_dark(open_desk(growing_farm()), Threat.HEAT)

    assert found.is_quiet
    assert before_dark_lines(found)[0].lines == ("Nothing that stands in the field would be lost.",)


@pytest.mark.parametrize("cold", [-31.0, 2.5])
def test_a_night_that_never_comes_is_refused(day: BucketDay, cold: float) -> None:
    with pytest.raises(NotAccepted, match="how cold it gets"):
        cut_before_dark(day.desk, Threat.FROST, cold)

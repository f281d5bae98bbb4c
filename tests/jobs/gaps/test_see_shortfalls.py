"""What is short in words, and the ways to close it with what taking one rests on."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from haulm.advice.options.option import Option, Proof
from haulm.errors import NotAccepted
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.seen import NotAsSeen, Seen
from haulm.jobs.gaps.close_gap import FoundWays
from haulm.jobs.gaps.see_shortfalls import gap_days_in_words, see_shortfalls, way_as_seen, ways_in_words, ways_shown
from haulm.jobs.gaps.standing_gaps import dated_gaps
from support.farms import batch
from support.known_farm import growing_farm


@pytest.fixture
def short(open_desk: Callable[[dict[str, bytes]], Desk]) -> Desk:
    """Ten plants for forty stems a week of September."""
    return open_desk(growing_farm())


def test_a_gap_is_named_for_what_is_asked(short: Desk) -> None:
    (gap,) = see_shortfalls(short)

    assert gap.asked == "Hare's-tail grass"
    assert gap.is_pending, "nobody has worked out its days yet"
    with pytest.raises(NotAccepted):
        see_shortfalls(short, 1.5)


def test_days_that_are_still_to_be_worked_out_are_not_made_up(short: Desk) -> None:
    plan = short.plan()
    (found,) = dated_gaps(short, plan)

    (said,) = gap_days_in_words(plan, replace(found, merged=()))
    assert said.startswith("Day to decide: ")
    assert gap_days_in_words(plan, replace(found, merged=("other",)))[-1] == "1 other gap has become part of it."
    waiting = ways_in_words(plan, FoundWays(found, None, is_pending=True))
    assert waiting is not None and "still being worked out" in waiting


def test_ways_are_numbered_by_their_kind_and_rest_on_what_they_say(short: Desk) -> None:
    sowing = batch("new", sow="2027-06-20", plants=80, bed="south")
    way = Option("succession", "Sow.", date(2027, 6, 18), Proof((0.1,), 30.0), None, True, 1250, (sowing,))

    first, second = ways_shown(short.plan(), [way, replace(way, cost_minor=1300)])

    assert (first.place, second.place) == ("succession-1", "succession-2")
    assert first.shown.figures["Cost"] != second.shown.figures["Cost"]
    assert first.shown.figures["Sowing 1"].startswith("Hare's-tail grass, ")
    assert "80 places, South bed" in first.shown.figures["Sowing 1"]
    assert [need.name for need in first.needs] == ["Hare's-tail grass"]


def test_a_way_that_nobody_offers_any_more_is_not_taken(short: Desk) -> None:
    with pytest.raises(NotAsSeen):
        way_as_seen(short, short.plan(), "gone", ("sow-1", Seen("none", {})))

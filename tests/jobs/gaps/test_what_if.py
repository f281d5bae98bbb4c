"""What if: a copy of the farm is tried, both sides are told, and nothing is written."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from haulm.errors import NotAccepted, NotFound
from haulm.farm.edits import with_rows
from haulm.farm.words import StandingStatus
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.supposed import FrostSupposed, MoveSupposed, PauseSupposed, RowSupposed, Supposed
from haulm.jobs.gaps.what_if import compared, what_if
from haulm.planning.planner import Planner
from support.known_farm import growing_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]
MORE = RowSupposed("batches", {"variety": "lagurus", "plant_out_date": "2027-07-22", "method": "plugs", "sown": 200})
CHANGES: list[Supposed] = [
    MORE,
    FrostSupposed(14),
    PauseSupposed("anna-weekly"),
    RowSupposed("standing_lines", {"stems": 5}, "anna-1"),
    RowSupposed("records", {"kind": "lost", "batch": "first"}),
]


@pytest.fixture
def growing(open_desk: OpenDesk) -> Desk:
    """A desk over the farm that grows too little."""
    return open_desk(growing_farm())


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: type(change).__name__)
def test_nothing_is_written(change: Supposed, growing: Desk) -> None:
    before = (growing.store.version(), growing.store.entries(), growing.store.farm(), growing.plan())

    what_if(growing, [change])

    after = (growing.store.version(), growing.store.entries(), growing.store.farm(), growing.plan())
    assert after[:3] == before[:3] and after[3] is before[3]


def test_both_sides_are_those_of_two_farms_planned_from_nothing(growing: Desk) -> None:
    farm = growing.store.farm()
    (line,) = farm.standing_lines
    drawing, today = growing.planner.drawing, growing.today()
    plans = [Planner(drawing).plan(of, today) for of in (farm, with_rows(farm, [replace(line, stems=5)]))]

    found = what_if(growing, [RowSupposed("standing_lines", {"stems": 5}, "anna-1")])
    assert found == compared(growing, plans[0], plans[1], None)
    assert [(pair.before.line.stems, pair.after.line.stems) for pair in found.lines if pair.before and pair.after] == [
        (40, 5),
        (40, 5),
    ]


def test_a_batch_more_closes_the_gap(growing: Desk) -> None:
    found = what_if(growing, [MORE])

    (gap,) = found.gaps
    assert gap.before is not None and gap.after is None
    assert all(pair.before.confidence < pair.after.confidence for pair in found.lines if pair.before and pair.after)
    assert [order.after.joint_confidence > 0.8 for order in found.orders if order.after] == [True, True]


def test_a_florist_who_pauses_asks_nothing(growing: Desk) -> None:
    found = what_if(growing, [PauseSupposed("anna-weekly")])

    assert [pair.after for pair in found.lines] == [None, None]
    assert [pair.after for pair in found.orders] == [None, None]
    assert found.lines_in_all == 0
    assert growing.store.farm().standing_orders[0].status is StandingStatus.ACTIVE


def test_an_earlier_frost_makes_nobody_surer_and_a_very_early_one_leaves_nothing(growing: Desk) -> None:
    confidences = [
        [pair.after.confidence for pair in what_if(growing, [MORE, FrostSupposed(days)]).lines if pair.after]
        for days in (0, 14, 28, 180)
    ]

    assert len(confidences[0]) == 2
    assert all(later <= earlier for earlier, later in zip(confidences[0], confidences[1], strict=False))
    assert confidences[3] == [] or max(confidences[3]) < min(confidences[0])


def test_a_moved_order_keeps_its_name_and_takes_its_event_along(party_desk: Desk) -> None:
    found = what_if(party_desk, [MoveSupposed("party", date(2027, 7, 9))])

    pairs = {pair.either.line.line: pair for pair in found.lines if not pair.either.line.is_spare}
    party = pairs["party-1"]
    assert party.before is not None and party.after is not None
    assert [str(side.line.due) for side in (party.before, party.after)] == ["2027-06-18", "2027-07-09"]
    assert (party.before.confidence, party.after.confidence) == (1.0, 0.0)


def test_several_things_are_supposed_one_after_the_other(party_desk: Desk) -> None:
    order = RowSupposed(
        "orders",
        {"key": "ben", "customer": "bram", "kind": "one_off", "due_date": "2027-06-18", "status": "contracted"},
    )
    line = RowSupposed("order_lines", {"key": "ben-1", "order": "ben", "stems": 50, "product": "lagurus"})

    found = what_if(party_desk, [order, line, PauseSupposed("anna-weekly")])
    new = next(pair for pair in found.lines if pair.either.line.line == "ben-1")
    assert new.before is None and new.after is not None and new.after.expected_missing == 50 - (60 - 20)


@pytest.mark.parametrize(
    ("change", "refusal"),
    [
        (PauseSupposed("nobody"), NotFound),
        (MoveSupposed("nobody", date(2027, 7, 9)), NotFound),
        (RowSupposed("customer", {}), NotFound),
        (RowSupposed("batches", {"sown": 5}, "nobody"), NotFound),
        (RowSupposed("batches", {"key": "other"}, "first"), NotAccepted),
        (RowSupposed("batches", {"colour": "red"}, "first"), FolderRefused),
        (RowSupposed("batches", {"variety": "nobody", "method": "direct"}), FolderRefused),
    ],
)
def test_what_does_not_fit_the_farm_is_refused(change: Supposed, refusal: type[Exception], growing: Desk) -> None:
    with pytest.raises(refusal):
        what_if(growing, [change])


def test_a_what_if_that_changes_nothing_says_why(growing: Desk) -> None:
    (first, *_) = growing.store.farm().batches
    as_it_is = what_if(growing, [RowSupposed("batches", {"status": str(first.status)}, first.key)])
    assert not as_it_is.lines and as_it_is.nothing is not None and "the farm says so already" in as_it_is.nothing

    undated = RowSupposed("batches", {"variety": first.variety, "method": "direct", "sown": 100})
    empty = what_if(growing, [undated])
    assert not empty.lines and empty.nothing is not None and "until it has a day of sowing" in empty.nothing


def test_a_batch_for_which_its_bed_has_no_room_is_said_with_the_way_on(growing: Desk) -> None:
    (bed, *_) = growing.store.farm().beds
    huge = RowSupposed("batches", {**MORE.values, "bed": bed.key, "metres": 500})

    (said,) = what_if(growing, [huge]).over_full
    assert said.startswith(f"{bed.name} is over-full") and said.endswith("another bed, fewer places, or another day.")
    assert what_if(growing, [MORE]).over_full == ()

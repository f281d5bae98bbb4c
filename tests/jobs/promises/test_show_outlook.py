"""The outlook over all seasons: orders and classes as a whole, and what is left over."""

from collections.abc import Callable

import numpy as np
import pytest

from haulm.errors import NotAccepted
from haulm.farm.words import LineClass
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.show_outlook import Outlook, show_outlook
from support.known_farm import growing_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]


@pytest.fixture
def growing(open_desk: OpenDesk) -> Desk:
    """A desk over the farm that grows, with two lines a week."""
    lines = "key,order,stems,product\nanna-1,anna-weekly,25,lagurus\nanna-2,anna-weekly,15,lagurus"
    files = growing_farm()
    batches = "key,variety,sow_date,method,sown,plants,bed\nfirst,lagurus,2027-06-14,direct,40,30,south"
    files |= {"standing_lines.csv": lines.encode(), "batches.csv": batches.encode()}
    return open_desk(files)


def test_each_order_is_told_by_the_day_it_is_due(party_desk: Desk) -> None:
    found = show_outlook(party_desk)

    assert [(item.order, str(item.due), item.lines, item.joint_confidence, item.is_sure) for item in found.orders] == [
        ("anna-weekly", "2027-06-15", 1, 1.0, True),
        ("party", "2027-06-18", 1, 1.0, True),
        ("anna-weekly", "2027-06-22", 1, 1.0, True),
        ("late", "2027-07-02", 1, 0.0, False),
    ]


def test_a_class_is_as_sure_as_all_its_lines_together(party_desk: Desk) -> None:
    found = {item.line_class: item for item in show_outlook(party_desk).classes}

    assert {name: (item.lines, item.confidence, item.expected_missing) for name, item in found.items()} == {
        LineClass.STANDING: (2, 1.0, 0.0),
        LineClass.ONE_OFF: (2, 0.0, 10.0),
        LineClass.SPARE: (1, 1.0, 0.0),
    }


def test_joint_means_in_the_same_season(growing: Desk) -> None:
    result = growing.plan().result
    first = min(line.due for line in result.lines)
    rows = [result.filled(at) == line.stems for at, line in enumerate(result.lines) if line.due == first]
    both = np.logical_and.reduce(rows)

    found = show_outlook(growing).orders[0]
    assert found.lines == len(rows) == 2
    assert found.joint_confidence == pytest.approx(float(result.supply.weights[both].sum()))
    assert 0 < found.joint_confidence < float(result.supply.weights[rows[0]].sum())


def left(found: Outlook) -> dict[tuple[str, str], int]:
    """The middle figure by product and week."""
    return {(str(item.product), str(item.week)): item.stems[1] for item in found.left_over}


def test_what_nobody_was_promised_is_left_over_in_the_first_week_it_may_leave(party_desk: Desk) -> None:
    # k1: 60 less Anna's 25, the party's 20 and its spare of 5; k2: 40 less Anna's 25; k3: 30. Dried: none.
    assert left(show_outlook(party_desk)) == {
        ("lagurus", "2027-W24"): 10,
        ("lagurus", "2027-W25"): 15,
        ("nigella", "2027-W24"): 30,
    }


def test_a_confidence_is_a_share(party_desk: Desk) -> None:
    assert [item.is_sure for item in show_outlook(party_desk, 0.99).orders] == [True, True, True, False]
    with pytest.raises(NotAccepted):
        show_outlook(party_desk, 1.0)

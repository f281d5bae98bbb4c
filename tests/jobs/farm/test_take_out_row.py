"""A row is taken out with what belongs to it alone; what others name stays; stems that come back are judged."""

from collections.abc import Callable

import pytest

from haulm.errors import NotAccepted, NotFound
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.keyless_rows import row_named
from haulm.jobs.farm.take_out_row import TAKEN_OUT, goes_with, still_named, take_out_row
from haulm.jobs.quotes.promise_refused import PromiseRefused
from haulm.store.words import PromiseState
from support.desks import done
from support.known_farm import PARTY, known_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]
SKIPPED = "key,order,week,stems\nc1,anna-weekly,2027-W24,0"


def take_out(desk: Desk, collection: str, name: str, override: str | None = None) -> None:
    done(desk, lambda work: take_out_row(desk, work, collection, name, override=override))


def test_a_standing_order_goes_with_its_lines_and_changed_weeks(open_desk: OpenDesk) -> None:
    desk = open_desk(known_farm(changes=SKIPPED))
    row = row_named(desk.store.farm(), "standing_orders", "anna-weekly")
    assert [(named.collection, len(named.rows)) for named in goes_with(desk.store.farm(), row)] == [
        ("changes", 1),
        ("standing_lines", 1),
    ]

    take_out(desk, "standing_orders", "anna-weekly")

    farm = desk.store.farm()
    assert (farm.standing_orders, farm.standing_lines, farm.changes) == ((), (), ())
    assert desk.store.entries()[-1].kind == TAKEN_OUT


def test_what_others_name_is_refused_and_they_are_named(desk: Desk) -> None:
    row = row_named(desk.store.farm(), "varieties", "lagurus")

    assert {named.collection for named in still_named(desk.store.farm(), row)} == {"known_stems", "standing_lines"}
    with pytest.raises(NotAccepted, match="still name"):
        take_out(desk, "varieties", "lagurus")


def test_a_person_who_is_taken_out_is_forgotten_and_named_in_no_entry(desk: Desk) -> None:
    take_out(desk, "customers", "bram")

    assert [row.key for row in desk.store.farm().customers] == ["anna"]
    assert "Bram" not in str(desk.store.entries()[-1])


def test_an_order_that_is_promised_is_not_taken_out(party_desk: Desk) -> None:
    with pytest.raises(NotAccepted, match="contracted"):
        take_out(party_desk, "orders", "party")


def test_a_line_that_goes_is_let_go_in_the_book(party_desk: Desk) -> None:
    take_out(party_desk, "order_lines", "party-1")

    assert [line.key for line in party_desk.store.farm().order_lines] == ["late-1"]
    assert all(one.state is PromiseState.RELEASED for one in party_desk.store.promises(line="party-1")[-1:])


def test_a_week_that_asks_again_is_judged_like_a_new_promise(open_desk: OpenDesk) -> None:
    lines = PARTY["order_lines"].replace("20,lagurus,5", "45,lagurus,5")
    desk = open_desk(known_farm(changes=SKIPPED, orders=PARTY["orders"], order_lines=lines))

    with pytest.raises(PromiseRefused):
        take_out(desk, "changes", "c1")
    assert len(desk.store.farm().changes) == 1

    take_out(desk, "changes", "c1", override="both are asked")
    assert desk.store.farm().changes == () and desk.store.entries()[-1].facts["overridden"] is True


def test_what_is_not_there_is_not_found(desk: Desk) -> None:
    with pytest.raises(NotFound):
        take_out(desk, "beds", "none")

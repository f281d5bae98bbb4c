"""Standing orders, one by one: renewed for the same weeks, judged as new demand is, or left to end."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from haulm.errors import NotAccepted, NotFound
from haulm.farm.weeks import Week
from haulm.farm.words import PriceFrom, StandingStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.renew_standing import RENEWED, Renewal, RenewAsked, let_end, renew_standing, see_renewals
from haulm.jobs.journal.take_back_entry import take_back_entry
from haulm.jobs.quotes.promise_refused import PromiseRefused
from support.desks import done
from support.season_farm import season_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]


@pytest.fixture
def desk(open_desk: OpenDesk) -> Desk:
    return open_desk(season_farm())


def of(desk: Desk, key: str) -> Renewal:
    return next(one for one in see_renewals(desk, 2027) if one.order.key == key)


def renew(desk: Desk, key: str, stems: dict[str, int] | None = None, override: str | None = None) -> None:
    done(desk, lambda work: renew_standing(desk, work, RenewAsked(key, stems or {}, override)))


def test_it_is_renewed_for_the_same_weekday_of_the_same_weeks_with_its_lines(desk: Desk) -> None:
    assert of(desk, "anna-weekly").is_open
    renew(desk, "anna-weekly")

    found = of(desk, "anna-weekly").renewed
    assert found is not None and not of(desk, "anna-weekly").is_open
    assert (found.first_week, found.last_week) == (Week(2028, 30), Week(2028, 34))
    assert (found.weekday, found.committed_on) == ("tue", date(2027, 6, 14))
    lines = {line.key: line for line in desk.store.farm().standing_lines if line.order == found.key}
    assert {key: line.stems for key, line in lines.items()} == {f"anna-{at}-in-2028": 20 for at in (1, 2, 3)}
    assert of(desk, "anna-weekly").days == (date(2028, 7, 25), date(2028, 8, 22))


def test_an_agreed_price_stays_and_one_of_the_list_is_the_lists_as_it_stands(desk: Desk) -> None:
    renew(desk, "anna-weekly")
    lines = {line.key: line for line in desk.store.farm().standing_lines}

    agreed, listed = lines["anna-1-in-2028"], lines["anna-2-in-2028"]
    assert (agreed.bunch_price_minor, agreed.price_from) == (700, PriceFrom.AGREED)
    assert (listed.bunch_price_minor, listed.price_from) == (600, PriceFrom.LIST)


def test_stems_may_be_others_and_a_line_without_any_is_left_out(desk: Desk) -> None:
    renew(desk, "anna-weekly", {"anna-1": 5, "anna-2": 0})
    lines = {line.key: line for line in desk.store.farm().standing_lines if line.order.endswith("-in-2028")}

    assert {key: line.stems for key, line in lines.items()} == {"anna-1-in-2028": 5, "anna-3-in-2028": 20}
    assert lines["anna-1-in-2028"].minimum == 5


def test_one_that_is_paused_is_renewed_to_run(desk: Desk) -> None:
    renew(desk, "bram-weekly")
    found = of(desk, "bram-weekly").renewed
    assert found is not None and found.status is StandingStatus.ACTIVE


def test_a_second_tap_renews_nothing_more(desk: Desk) -> None:
    renew(desk, "anna-weekly")
    farm = desk.store.farm()
    renew(desk, "anna-weekly", {"anna-1": 3})

    after = desk.store.farm()
    assert (after.standing_orders, after.standing_lines) == (farm.standing_orders, farm.standing_lines)
    assert len(desk.store.entries_of(RENEWED)) == 1


@pytest.mark.parametrize(
    ("key", "stems"),
    [
        ("anna-weekly", {"bram-1": 3}),
        ("anna-weekly", {f"anna-{at}": 0 for at in (1, 2, 3)}),
        ("anna-weekly", {"anna-1": -1}),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(desk: Desk, key: str, stems: dict[str, int]) -> None:
    with pytest.raises(NotAccepted):
        renew(desk, key, stems)
    with pytest.raises(NotFound):
        renew(desk, "nobody")
    assert not desk.store.entries_of(RENEWED)


def test_it_is_judged_as_new_demand_an_earlier_promise_may_not_fall(open_desk: OpenDesk) -> None:
    """Carl's order of 2028 is committed later than Anna's would be, but stands already on stems of the attic."""
    files = season_farm(
        known_stems="key,product,ready_date,stems\nattic,zinnia:dried,2027-06-01,100",
        standing_orders="""
            key,customer,weekday,first_week,last_week,committed_on
            anna-weekly,anna,tue,2027-W30,2027-W31,2027-01-10
            """,
        standing_lines="key,order,stems,product\nanna-1,anna-weekly,20,zinnia:dried",
        orders="key,customer,kind,due_date,committed_on,status\nparty,bram,one_off,2028-09-01,2027-06-01,contracted",
        order_lines="key,order,stems,product\nparty-1,party,50,zinnia:dried",
    )
    desk = open_desk(files)
    with pytest.raises(PromiseRefused):
        renew(desk, "anna-weekly")
    assert of(desk, "anna-weekly").is_open

    renew(desk, "anna-weekly", {"anna-1": 5})
    assert of(desk, "anna-weekly").renewed is not None


def test_in_spite_of_a_refusal_only_with_a_reason_that_is_kept(open_desk: OpenDesk) -> None:
    files = season_farm(
        known_stems="key,product,ready_date,stems\nattic,zinnia:dried,2027-06-01,90",
        standing_orders="""
            key,customer,weekday,first_week,last_week,committed_on
            anna-weekly,anna,tue,2027-W30,2027-W31,2027-01-10
            """,
        standing_lines="key,order,stems,product\nanna-1,anna-weekly,20,zinnia:dried",
        orders="key,customer,kind,due_date,committed_on,status\nparty,bram,one_off,2028-09-01,2027-06-01,contracted",
        order_lines="key,order,stems,product\nparty-1,party,50,zinnia:dried",
    )
    desk = open_desk(files)
    renew(desk, "anna-weekly", override="she asked first")
    (entry,) = desk.store.entries_of(RENEWED)
    assert entry.facts["overridden"] is True and entry.facts["override_reason"] == "she asked first"


def test_left_to_end_it_is_not_asked_about_again_and_that_can_be_taken_back(desk: Desk) -> None:
    done(desk, lambda work: let_end(work, "anna-weekly"))
    assert of(desk, "anna-weekly").is_let_end
    farm = desk.store.farm()
    assert all(order.status is not StandingStatus.ENDED for order in farm.standing_orders), "this season runs on"

    entries = len(desk.store.entries())
    done(desk, lambda work: let_end(work, "anna-weekly"))
    assert len(desk.store.entries()) == entries

    seq = desk.store.entries()[-1].seq
    done(desk, lambda work: take_back_entry(desk, work, seq))
    assert of(desk, "anna-weekly").is_open


def test_one_that_is_renewed_does_not_end_and_taken_back_it_waits_again(desk: Desk) -> None:
    renew(desk, "anna-weekly")
    with pytest.raises(NotAccepted):
        done(desk, lambda work: let_end(work, "anna-weekly"))

    (entry,) = desk.store.entries_of(RENEWED)
    done(desk, lambda work: take_back_entry(desk, work, entry.seq))
    assert of(desk, "anna-weekly").is_open
    assert not [line for line in desk.store.farm().standing_lines if line.key.endswith("-in-2028")]

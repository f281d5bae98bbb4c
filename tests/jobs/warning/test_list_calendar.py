"""The farm's days for a calendar: for whoever has the link that stands, and nobody's name in them."""

import pytest

from haulm.jobs.desk.desk import Desk
from haulm.jobs.warning.list_calendar import (
    LINK,
    LinkNotValid,
    list_calendar,
    make_calendar_link,
    new_token,
    revoke_calendar_link,
)
from support.desks import MONDAY, done, on


def linked(desk: Desk) -> str:
    """The token of a new link."""
    token = new_token()
    done(desk, lambda work: make_calendar_link(work, token))
    return token


def test_the_last_link_alone_is_valid_and_is_not_kept_itself(party_desk: Desk) -> None:
    first, second = (linked(party_desk) for _ in range(2))

    assert list_calendar(party_desk, second).days
    for wrong in (first, "", "guess"):
        with pytest.raises(LinkNotValid):
            list_calendar(party_desk, wrong)
    assert all(second not in str(entry.facts) for entry in party_desk.store.entries_of(LINK))
    done(party_desk, revoke_calendar_link)
    with pytest.raises(LinkNotValid):
        list_calendar(party_desk, second)


def test_days_come_in_order_none_is_over_and_nobody_is_named(party_desk: Desk) -> None:
    token = linked(party_desk)
    days = list_calendar(party_desk, token).days

    assert [one.day for one in days] == sorted(one.day for one in days)
    assert all(one.end >= MONDAY for one in days)
    said = " ".join(f"{one.uid} {one.summary}" for one in days)
    for hidden in ("Anna", "Bram", "party", "anna"):
        assert hidden not in said
    assert {one.uid: one.summary for one in days}["deliver-2027-06-18"] == "Stems leave: 20 asked"


def test_the_number_of_the_state_never_falls(party_desk: Desk) -> None:
    token = linked(party_desk)
    before = list_calendar(party_desk, token)
    on(party_desk, before.days[0].end.replace(day=30))
    after = list_calendar(party_desk, token)

    assert after.version >= before.version
    assert {one.uid for one in after.days} < {one.uid for one in before.days}

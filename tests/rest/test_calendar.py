"""The calendar feed: opened by a link with a token of its own, with nobody's name in it."""

from support.door import Door


def test_the_feed_opens_with_its_link_and_names_nobody(party_door: Door) -> None:
    path = party_door.post("/v1/calendar-link")["path"]

    feed = party_door.ask("GET", path)

    assert (feed.status_code, feed.headers["content-type"]) == (200, "text/calendar; charset=utf-8")
    assert "BEGIN:VCALENDAR" in feed.text and "DTSTART;VALUE=DATE:20270615" in feed.text
    assert not any(name in feed.text.lower() for name in ("anna", "bram", "verhoeven"))


def test_a_caller_elsewhere_may_read_the_feed_and_nothing_more(party_door: Door) -> None:
    path = party_door.post("/v1/calendar-link")["path"]

    with Door(party_door.desk, caller="192.0.2.7") as elsewhere:
        assert elsewhere.ask("GET", path).status_code == 200
        assert elsewhere.refused(403, "POST", "/v1/calendar-link")["audience"] == "owner"


def test_a_new_link_or_a_revocation_closes_the_old_one(door: Door) -> None:
    first = door.post("/v1/calendar-link")["path"]
    second = door.post("/v1/calendar-link")["path"]
    assert door.refused(403, "GET", first)["type"] == "/problems/link-not-valid"

    assert door.ask("DELETE", "/v1/calendar-link").json() == {"valid": False}
    assert door.refused(403, "GET", second)["type"] == "/problems/link-not-valid"
    assert door.refused(403, "GET", "/v1/calendar.ics?token=x")


def test_the_journal_does_not_hold_the_token(door: Door) -> None:
    token = door.post("/v1/calendar-link")["path"].partition("token=")[2]

    assert token not in repr(door.desk.store.entries())

"""The calendar feed: opened by a link with a token of its own, with nobody's name in it."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

from ics import Calendar, Event

from support.door import Door
from support.known_farm import growing_farm

OpenDoor = Callable[[dict[str, bytes]], Door]


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


def test_the_same_key_gets_the_same_link_again_and_another_key_a_new_one(door: Door) -> None:
    first, again, other = (
        door.ask("POST", "/v1/calendar-link", headers={"Idempotency-Key": key}) for key in ("a", "a", "b")
    )
    assert (first.status_code, first.json()) == (again.status_code, again.json())
    assert first.status_code == 201
    assert first.json() != other.json()
    assert door.ask("GET", other.json()["path"]).status_code == 200


def test_the_same_key_revokes_once(door: Door) -> None:
    for _ in range(2):
        gone = door.ask("DELETE", "/v1/calendar-link", headers={"Idempotency-Key": "a"})
        assert (gone.status_code, gone.json()) == (200, {"valid": False})
    assert len(door.desk.store.entries_of("calendar-link")) == 1


def test_what_is_kept_for_a_key_opens_nothing(door: Door, tmp_path: Path) -> None:
    path = door.ask("POST", "/v1/calendar-link", headers={"Idempotency-Key": "a"}).json()["path"]
    token = path.partition("token=")[2]

    kept = b"".join(file.read_bytes() for file in tmp_path.rglob("farm.db*"))
    assert b"calendar-link" in kept and token.encode() not in kept


def test_the_journal_does_not_hold_the_token(door: Door) -> None:
    token = door.post("/v1/calendar-link")["path"].partition("token=")[2]

    assert token not in repr(door.desk.store.entries())


def feed_of(door: Door) -> str:
    return door.ask("GET", door.post("/v1/calendar-link")["path"]).content.decode()


def events_of(door: Door) -> dict[str, Event]:
    """The events as a second, independent reader of calendars has them, by UID."""
    return {str(event.uid): event for event in Calendar(feed_of(door)).events}


def sown(*, south: bool = False, **tables: str) -> dict[str, bytes]:
    """A growing farm with a tray of its one kind; in the south with seasons turned round."""
    files = growing_farm()
    files["batches.csv"] = (
        b"key,variety,sow_date,method,sown,plants,bed,status\n"
        b"first,lagurus,2027-06-18,direct,1500,1000,south,planned\n"
        b"tray,lagurus,2027-06-20,cover,120,100,,planned\n"
    )
    if south:
        text = files["farm.toml"].decode().replace("latitude = 52.1", "latitude = -38.0")
        for north, turned in (("04-05", "10-05"), ("04-20", "10-20"), ("05-08", "11-08")):
            text = text.replace(f'"{north}"', f'"{turned}"')
        for north, turned in (("10-01", "04-01"), ("10-18", "04-18"), ("11-05", "05-05")):
            text = text.replace(f'autumn_{_quantile(north)} = "{north}"', f'autumn_{_quantile(north)} = "{turned}"')
        for name in ("min_c", "max_c"):
            row = text.split(f"{name} = [")[1].split("]")[0]
            months = row.split(", ")
            text = text.replace(row, ", ".join(months[6:] + months[:6]))
        files["farm.toml"] = text.encode()
        files["batches.csv"] = files["batches.csv"].replace(b"2027-06-18", b"2027-10-25").replace(b"06-20", b"11-05")
    return files | {f"{name}.csv": content.encode() for name, content in tables.items()}


def _quantile(day: str) -> str:
    return {"10-01": "p10", "10-18": "p50", "11-05": "p90"}[day]


def test_a_second_reader_finds_the_whole_year_of_a_tray(open_door: OpenDoor) -> None:
    events = events_of(open_door(sown()))

    kinds = ("sow-tray", "pot-tray", "plant-tray", "cut-first", "sow-first")
    assert all(f"{kind}@haulm" in events for kind in kinds), sorted(events)
    days = [events[f"{kind}@haulm"].begin.date() for kind in ("sow-tray", "pot-tray", "plant-tray")]
    assert days == sorted(days) and days[0] == date(2027, 6, 20)
    assert all(event.all_day for event in events.values())


def test_hardening_ends_the_day_before_planting(open_door: OpenDoor) -> None:
    events = events_of(open_door(sown()))

    assert events["harden-tray@haulm"].end.date() == events["plant-tray@haulm"].begin.date()


def test_every_line_is_short_and_ends_as_the_standard_wants(open_door: OpenDoor) -> None:
    name = "Цветок " * 12
    varieties = growing_farm()["varieties.csv"].decode().replace("Hare's-tail grass", f'"{name}; with, marks"')
    door = open_door(sown(varieties=varieties))
    raw = door.ask("GET", door.post("/v1/calendar-link")["path"]).content

    assert raw.endswith(b"\r\n") and b"\n" not in raw.replace(b"\r\n", b"")
    assert max(len(line) for line in raw.split(b"\r\n")) <= 75
    assert any(name.strip() in event.name and "; with, marks" in event.name for event in events_of(door).values())


def test_a_change_moves_an_event_under_its_uid_and_raises_its_sequence(open_door: OpenDoor) -> None:
    door = open_door(sown())
    before, was = events_of(door)["sow-tray@haulm"], feed_of(door)
    door.patch("/v1/batches/tray", {"sow_date": "2027-06-27"})
    after, now = events_of(door)["sow-tray@haulm"], feed_of(door)

    assert (after.begin - before.begin).days == 7
    assert _sequence(now) > _sequence(was)


def _sequence(feed: str) -> int:
    return max(int(line.removeprefix("SEQUENCE:")) for line in feed.splitlines() if line.startswith("SEQUENCE:"))


def test_orders_stand_in_it_by_kind_and_day_and_never_by_key_or_name(open_door: OpenDoor) -> None:
    orders = (
        "key,customer,kind,due_date,committed_on,status,hold_until,final_numbers_date\n"
        "verhoeven-smit,bram,wedding,2027-12-30,2027-06-01,contracted,,2027-12-02\n"
        "bakker,bram,wedding,2028-01-02,2027-06-01,on_hold,2027-12-31,2028-01-01\n"
    )
    lines = "key,order,stems,product\nl1,verhoeven-smit,3,lagurus\nl2,bakker,3,lagurus\n"
    door = open_door(sown(orders=orders, order_lines=lines))
    feed = feed_of(door)
    events = {event.name: event for event in Calendar(feed).events}

    assert events["Final numbers are due for the wedding that leaves on Sun 2 Jan 2028"].begin.date() == date(
        2028, 1, 1
    )
    assert events[
        "The hold on the wedding that leaves on Sun 2 Jan 2028 lets go at the end of the day"
    ].begin.date() == date(2027, 12, 31)
    assert "DTEND;VALUE=DATE:20280101" in feed  # the day after the last of the year
    assert not any(word in feed.lower() for word in ("verhoeven", "smit", "bakker", "bram", "anna"))


def test_in_the_south_the_cut_runs_over_the_end_of_the_year(open_door: OpenDoor) -> None:
    event = events_of(open_door(sown(south=True)))["cut-first@haulm"]

    assert date(2027, 12, 1) < event.begin.date() < event.end.date() < date(2028, 5, 1)
    assert event.end.date().year == 2028


def test_the_feed_is_the_same_again_while_nothing_changes(open_door: OpenDoor) -> None:
    door = open_door(sown())
    path = door.post("/v1/calendar-link")["path"]

    assert door.ask("GET", path).content == door.ask("GET", path).content

"""The farm's settings on a page: changed in words, refused beside their field, and the first of them begin a farm."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from html import unescape
from pathlib import Path

import pytest

from haulm.farm.site import Letterhead, MonthDay, Site
from haulm.farm.words import Weekday
from haulm.farm_folder.site_file import site_text
from haulm.jobs.desk.desk import Desk
from haulm.pages.rows.setting_values import cells_of_site, setting_paths, site_from_cells
from haulm.pages.rows.setting_words import FIELDS
from haulm.planning.growth import Drawing
from haulm.planning.planner import Planner
from support.demo_farms import demo_farm
from support.desks import NOW, Calendar, sqlite_store
from support.door import Door
from support.known_farm import growing_farm
from support.typed_forms import form_at, sent

PATH = "/farm/settings"


@pytest.fixture
def door(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    """A farm with its climate."""
    return open_door(growing_farm())


@pytest.fixture
def nobodys(tmp_path: Path) -> Iterator[Door]:
    """A door behind which there is no farm yet."""
    store = sqlite_store(tmp_path)
    with Door(Desk(store, Planner(Drawing(50, 1)), Calendar(date(2027, 3, 1)), lambda: NOW)) as door:
        yield door
    store.close()


def site(door: Door) -> Site:
    return door.desk.store.farm().site


def test_settings_are_typed_as_people_say_them(door: Door) -> None:
    answer = sent(
        door,
        form_at(door, PATH),
        frost__last_spring_p50__day="22",
        bucket_day="wed",
        cut_days__sat="yes",
        cutoff__weekday="thu",
        cutoff__at="12:30",
        levels__wedding="85",
        prices__delivery_minor="12,50",
        costs__plug_kinds="Hare's-tail grass",
        quotes__minutes="bridal bouquet 45\r\nbuttonhole 6",
        papers__address="Long Lane 3\r\nWestmoor",
        class_order="single orders\nweddings\nstanding orders\nspare stems\nholds\nthe stall",
    )

    assert answer.status_code == 303, unescape(answer.text)
    now = site(door)
    assert now.frost is not None and now.frost.last_spring_p50 == MonthDay(4, 22)
    assert (now.bucket_day, str(now.cutoff)) == (Weekday.WED, "thu 12:30")
    assert now.cut_days == (Weekday.MON, Weekday.THU, Weekday.SAT)
    assert (now.levels.wedding, now.levels.standing) == (0.85, 0.65)
    assert (now.prices.delivery_minor, now.costs.plug_kinds) == (1250, ("lagurus",))
    assert now.quotes.minutes == {"bridal bouquet": 45, "buttonhole": 6}
    assert now.papers == Letterhead(address="Long Lane 3\nWestmoor")
    assert now.class_order[0] == "one_off"


def test_a_form_that_is_sent_as_it_was_shown_changes_nothing(door: Door) -> None:
    before, version = site(door), door.desk.store.farm().version

    assert sent(door, form_at(door, PATH)).status_code == 303

    assert (site(door), door.desk.store.farm().version) == (before, version)


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"latitude": "north"}, "latitude", "what would do is a number from -90 to 90."),
        ({"cutoff__at": ""}, "cutoff", "what would do is a weekday and a time such as Friday, 18:00."),
        ({"frost__last_spring_p50__day": ""}, "frost.last_spring_p50", "what would do is a day and a month"),
        ({"temperatures__min_c__3": ""}, "temperatures.min_c", "a number of degrees for each of the twelve months"),
        ({"prices__stem_minor": "dear"}, "prices.stem_minor", "what would do is an amount in EUR such as 12.50."),
        ({"quotes__minutes": "bridal bouquet"}, "quotes.minutes", "a piece and its minutes to a line"),
        ({"cut_days__mon": None, "cut_days__thu": None}, "cut_days", "what would do is at least one day."),
    ],
)
def test_what_is_refused_stands_beside_its_field(
    door: Door, typed: dict[str, str | None], field: str, sentence: str
) -> None:
    before = site(door)

    answer = sent(door, form_at(door, PATH), **{"papers__phone": "typed meanwhile", **typed})

    page = unescape(answer.text)
    assert answer.status_code == 422
    assert f'id="wrong-{field}"' in page and sentence in page
    assert 'value="typed meanwhile"' in page
    assert site(door) == before


def test_what_somebody_changed_meanwhile_is_said_and_what_was_typed_is_kept(door: Door) -> None:
    mine, theirs = form_at(door, PATH), form_at(door, PATH)
    assert sent(door, theirs, latitude="51").status_code == 303

    answer = sent(door, mine, papers__phone="typed by me")

    page = unescape(answer.text)
    assert answer.status_code == 412
    assert "Degrees of latitude" in page and 'value="typed by me"' in page
    assert 'name="latitude" type="text" inputmode="decimal" value="51"' in page
    assert site(door).papers.phone == ""


def test_a_name_and_a_latitude_begin_a_farm(nobodys: Door) -> None:
    assert nobodys.ask("GET", "/farm").headers["location"] == "/begin"
    form = form_at(nobodys, PATH)
    assert sent(nobodys, form).status_code == 422

    assert sent(nobodys, form_at(nobodys, PATH), name="Westmoor", latitude="52.4").status_code == 303

    assert (site(nobodys).name, site(nobodys).latitude) == ("Westmoor", 52.4)
    today = nobodys.ask("GET", "/").text
    assert "haulm-service" not in today and ".csv" not in today and "/farm/kinds" in today


def test_every_setting_has_its_field() -> None:
    assert set(FIELDS) == set(setting_paths())


@pytest.mark.parametrize("made", [demo_farm().site, Site("A", -40.5)], ids=["demo", "bare"])
def test_settings_go_through_their_fields_unchanged(made: Site) -> None:
    again, faults = site_from_cells(cells_of_site(made))

    assert faults == ()
    assert again is not None and site_text(again) == site_text(made)

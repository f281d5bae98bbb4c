"""Every table on pages: added, changed, taken out, refused with what was typed, tapped twice, changed elsewhere."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from html import unescape
from typing import Any

import pytest

from haulm.farm_folder.cells import values_of
from support.door import Door
from support.farms import grower_folder
from support.known_farm import SITE
from support.typed_forms import form_at, sent

WEEK, NEXT = "2027-W24", "2027-W26"


@dataclass(frozen=True)
class Case:
    """A table as it is filled in: what is typed into a new row and what then stands, and the same for a change."""

    place: str
    collection: str
    typed: dict[str, str]
    stands: dict[str, Any]
    change: dict[str, str]
    then: dict[str, Any]
    wrong: dict[str, str]
    field: str
    sentence: str
    query: str = ""
    rows: int = 0


CASES = (
    Case(
        "beds",
        "beds",
        {"name": "Pond bed two", "metres": "12,5", "kind": "tunnel"},
        {"key": "pond-bed-two", "name": "Pond bed two", "metres": 12.5, "kind": "tunnel", "width_cm": 120},
        {"width_cm": "75", "walk": "2"},
        {"width_cm": 75, "walk": 2, "metres": 12.5},
        {"name": "Long bed", "metres": "long"},
        "metres",
        "Here stands 'long'; what would do is a number from 0 to 1,000,000.",
        rows=1,
    ),
    Case(
        "kinds",
        "varieties",
        {"name": "Sea holly", "colour": "blue", "price_minor": "6.50", "food_use": "no"},
        {"key": "sea-holly", "price_minor": 650, "food_use": False, "lengths": None},
        {
            "lengths": "30 cm 30 %, 40 cm 50 %, 50 cm 20 %",
            "stages": "young: green: days 0 to 4\nripe: blue: days 5 to 9",
        },
        {"lengths": "30:0.3|40:0.5|50:0.2", "stages": "young:green:0-4|ripe:blue:5-9", "price_minor": 650},
        {"name": "Sea holly", "price_minor": "dear"},
        "price_minor",
        "Here stands 'dear'; what would do is an amount in EUR such as 12.50.",
        rows=2,
    ),
    Case(
        "sowings",
        "batches",
        {"variety": "lagurus", "sow_date": "2027-04-05", "plants": "1,200", "bed": "pond"},
        {"sow_date": "2027-04-05", "plants": 1200, "bed": "pond", "status": "planned", "method": "cover"},
        {"status": "planted", "plant_out_date": "2027-05-10"},
        {"status": "planted", "plant_out_date": "2027-05-10", "plants": 1200},
        {"variety": "lagurus", "sow_date": "2027-04-05", "plant_out_date": "2027-03-01"},
        "plant_out_date",
        "Here stands Mon 1 Mar 2027; what would do is a date not before \u201cDay it is sown\u201d Mon 5 Apr 2027.",
        rows=1,
    ),
    Case(
        "sprays",
        "sprays",
        {"bed": "pond", "date": "2027-06-10", "wait_until": "2027-06-20", "note": "soap"},
        {"bed": "pond", "date": "2027-06-10", "wait_until": "2027-06-20", "note": "soap"},
        {"wait_until": "2027-06-24"},
        {"wait_until": "2027-06-24", "note": "soap"},
        {"bed": "pond", "date": "2027-06-10", "wait_until": "2027-06-01"},
        "wait_until",
        "Here stands Tue 1 Jun 2027; what would do is a date not before date Thu 10 Jun 2027.",
    ),
    Case(
        "known-stems",
        "known_stems",
        {"product": "nigella:dried", "stems": "90", "ready_date": "2027-05-01", "cut_date": "2027-05-02"},
        {"product": "nigella:dried", "stems": 90, "ready_date": "2027-05-01"},
        {"stems": "80", "usable_until": "2027-12-24"},
        {"stems": 80, "usable_until": "2027-12-24", "cut_date": "2027-05-02"},
        {"product": "nigella", "stems": "many", "ready_date": "2027-05-01"},
        "stems",
        "Here stands 'many'; what would do is a whole number from 0 to 1,000,000.",
        rows=1,
    ),
    Case(
        "customers",
        "customers",
        {"name": "Fern and Fold", "kind": "florist", "email": "ask@fern.example"},
        {"key": "florist-1", "name": "Fern and Fold", "email": "ask@fern.example", "notice_days": 2},
        {"notice_days": "3"},
        {"notice_days": 3, "email": "ask@fern.example"},
        {"name": "Fern and Fold", "email": "no address"},
        "email",
        "Here stands 'no address'; what would do is one email address such as anna@example.org.",
        rows=2,
    ),
    Case(
        "standing-orders",
        "standing_orders",
        {"customer": "bram", "weekday": "fri", "first_week": WEEK, "last_week": NEXT, "every": "2"},
        {"key": "bram-fri", "weekday": "fri", "first_week": WEEK, "last_week": NEXT, "every": 2, "status": "active"},
        {"status": "paused"},
        {"status": "paused", "last_week": NEXT},
        {"customer": "bram", "weekday": "fri", "first_week": NEXT, "last_week": WEEK},
        "last_week",
        "Here stands week 24, Mon 14 Jun; "
        "what would do is a week not before \u201cFirst week\u201d week 26, Mon 28 Jun.",
        rows=1,
    ),
    Case(
        "standing-lines",
        "standing_lines",
        {"product": "nigella", "stems": "1", "stems.unit": "bunches"},
        {"key": "anna-weekly-1", "order": "anna-weekly", "product": "nigella", "stems": 10, "choice": None},
        {"substitutes": "Bunny tail\nBunny tail, dried", "minimum": "5"},
        {"substitutes": "lagurus|lagurus:dried", "minimum": 5, "stems": 10},
        {"stems": "5", "minimum": "9", "product": "nigella"},
        "minimum",
        "Here stands 9; what would do is at most the stems of the line, 5.",
        query="?order=anna-weekly",
        rows=1,
    ),
    Case(
        "changes",
        "changes",
        {"week": "2027-W25", "stems": "0", "note": "away"},
        {"order": "anna-weekly", "week": "2027-W25", "stems": 0, "line": None, "note": "away"},
        {"stems": "10", "line": "anna-1"},
        {"stems": 10, "line": "anna-1"},
        {"week": "2027-W30", "stems": "0"},
        "week",
        "Here stands week 30, Mon 26 Jul; "
        "what would do is a week of its order, week 24, Mon 14 Jun to week 25, Mon 21 Jun.",
        query="?order=anna-weekly",
    ),
    Case(
        "orders",
        "orders",
        {"customer": "bram", "kind": "wedding", "due_date": "2027-06-25", "event_date": "2027-06-26"},
        {"key": "wedding-2027-06-25", "kind": "wedding", "event_date": "2027-06-26", "status": "quoted"},
        {"event_date": "2027-06-27", "unacceptable": "Love-in-a-mist"},
        {"event_date": "2027-06-27", "unacceptable": "nigella"},
        {"customer": "bram", "kind": "wedding", "due_date": "2027-06-25", "event_date": "2027-06-20"},
        "event_date",
        "Here stands Sun 20 Jun 2027; "
        "what would do is a date not before \u201cDay the stems leave\u201d Fri 25 Jun 2027.",
        rows=1,
    ),
    Case(
        "order-lines",
        "order_lines",
        {"choice.role.accent": "yes", "choice.colours": "Blue, white", "stems": "4", "spare": "1"},
        {"order": "fair", "choice": "role=accent colour=blue|white", "product": None, "stems": 4, "spare": 1},
        {"choice.without": "Bunny tail", "agreed_price_minor": "12.50"},
        {"choice": "role=accent colour=blue|white without=lagurus", "agreed_price_minor": 1250},
        {"stems": "3", "stems.unit": "bunches"},
        "stems",
        "Here stands '3 bunches'; "
        "what would do is a number of stems; bunches and buckets only where one kind is asked.",
        query="?order=fair",
        rows=1,
    ),
)


@pytest.fixture
def door(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    """A farm of known stems with a bed, a sowing, two customers, a standing order and a quote, on 14 June 2027."""
    return open_door(
        grower_folder(
            site=SITE,
            varieties="""
                key,name,role,colour,hold_days,stand_days,bunch_stems,price_minor
                lagurus,Bunny tail,texture,cream,4,3,10,450
                nigella,Love-in-a-mist,accent,blue,4,3,10,500
                """,
            beds="key,name,metres\npond,Pond bed,20",
            batches="key,variety,sow_date,plants,bed\nfirst,lagurus,2027-03-01,40,pond",
            customers="key,name,email\nanna,Studio Anna,anna@studio.example\nbram,Bram's corner,",
            known_stems="key,product,ready_date,stems\nk1,lagurus,2027-06-14,200",
            standing_orders="key,customer,weekday,first_week,last_week\nanna-weekly,anna,tue,2027-W24,2027-W25",
            standing_lines="key,order,stems,product\nanna-1,anna-weekly,25,lagurus",
            orders="key,customer,kind,due_date,status\nfair,bram,one_off,2027-06-18,quoted",
            order_lines="key,order,stems,product\nfair-1,fair,20,lagurus",
        )
    )


def rows(door: Door, case: Case) -> list[dict[str, Any]]:
    """The rows of a table as the folder has them; names and addresses of people too, which REST does not show."""
    return [values_of(case.collection, row) for row in getattr(door.desk.store.farm(), case.collection)]


def add(door: Door, case: Case, typed: dict[str, str] | None = None) -> Any:
    form = form_at(door, f"/farm/{case.place}/new{case.query}", action=f"/farm/{case.place}/new")
    return sent(door, form, **(case.typed if typed is None else typed))


def added(door: Door, case: Case) -> dict[str, Any]:
    before = {row["key"] for row in rows(door, case)}
    answer = add(door, case)
    assert answer.status_code == 303, unescape(answer.text)
    (row,) = [row for row in rows(door, case) if row["key"] not in before]
    return row


def path(case: Case, row: dict[str, Any]) -> str:
    return f"/farm/{case.place}/row/{row['key']}"


each = pytest.mark.parametrize("case", CASES, ids=lambda case: case.place)


@each
def test_a_row_is_added_changed_and_taken_out_by_its_forms(door: Door, case: Case) -> None:
    row = added(door, case)
    assert {name: row[name] for name in case.stands} == case.stands

    answer = sent(door, form_at(door, path(case, row)), **case.change)
    assert answer.status_code == 303, unescape(answer.text)
    now = next(one for one in rows(door, case) if one["key"] == row["key"])
    assert {name: now[name] for name in case.then} == case.then

    out = form_at(door, f"/farm/{case.place}/out/{row['key']}")
    assert len(rows(door, case)) == case.rows + 1
    assert sent(door, out).status_code == 303
    assert len(rows(door, case)) == case.rows


@each
def test_a_form_that_is_sent_as_it_was_shown_writes_nothing(door: Door, case: Case) -> None:
    row = added(door, case)
    version = door.desk.store.farm().version

    assert sent(door, form_at(door, path(case, row))).status_code == 303

    assert door.desk.store.farm().version == version
    assert next(one for one in rows(door, case) if one["key"] == row["key"]) == row


@each
def test_what_is_refused_stands_beside_its_field_with_all_that_was_typed(door: Door, case: Case) -> None:
    before = rows(door, case)

    answer = add(door, case, case.wrong)

    page = unescape(answer.text)
    assert answer.status_code == 422
    assert f'id="wrong-{case.field}"' in page
    assert case.sentence in page
    for name, text in case.wrong.items():
        shown = re.search(rf'name="{name}"[^>]*(?:value="{re.escape(text)}"|checked)', page)
        assert shown or f'<option value="{text}" selected' in page or f">{text}</textarea>" in page, name
    assert rows(door, case) == before


@each
def test_a_second_tap_adds_nothing_more(door: Door, case: Case) -> None:
    form = form_at(door, f"/farm/{case.place}/new{case.query}", action=f"/farm/{case.place}/new")
    before = len(rows(door, case))

    first, second = sent(door, form, **case.typed), sent(door, form, **case.typed)

    assert (first.status_code, second.status_code) == (303, 303)
    assert first.headers["location"] == second.headers["location"]
    assert len(rows(door, case)) == before + 1


@each
def test_what_somebody_changed_meanwhile_is_said_and_what_was_typed_is_kept(door: Door, case: Case) -> None:
    row = added(door, case)
    mine, theirs = form_at(door, path(case, row)), form_at(door, path(case, row))
    assert sent(door, theirs, **case.change).status_code == 303
    stands = rows(door, case)

    answer = sent(door, mine, **{**case.change, **_note(mine.names)})

    page = unescape(answer.text)
    assert answer.status_code == 412
    assert "It is not as you saw it" in page and "You saw" in page
    assert rows(door, case) == stands


def _note(names: set[str]) -> dict[str, str]:
    return {"note": "typed by me"} if "note" in names else {}


@each
def test_a_second_tap_changes_and_takes_out_nothing_more(door: Door, case: Case) -> None:
    row = added(door, case)
    form = form_at(door, path(case, row))
    assert [sent(door, form, **case.change).status_code for _tap in range(2)] == [303, 303]
    version = door.desk.store.farm().version
    assert sent(door, form, **case.change).status_code == 303 and door.desk.store.farm().version == version

    out = form_at(door, f"/farm/{case.place}/out/{row['key']}")
    assert [sent(door, out).status_code for _tap in range(2)] == [303, 303]
    assert len(rows(door, case)) == case.rows


def test_a_kind_that_flowers_in_no_time_is_refused_beside_its_field(door: Door) -> None:
    answer = sent(
        door,
        form_at(door, "/farm/kinds/new", action="/farm/kinds/new"),
        name="Sea holly",
        weeks_to_flower="0",
        harvest_weeks="0",
    )

    page = unescape(answer.text)
    assert answer.status_code == 422
    assert "Here stands 0; what would do is a number from 1 to 260." in page
    assert "Here stands 0; what would do is a number from 0.1 to 260." in page

"""Somebody's data by page: all of it shown and handed over; after erasing, nowhere in the database any more."""

from __future__ import annotations

import json
from datetime import date
from html import unescape

import pytest
from sqlalchemy import select

from haulm.jobs.florists.florist_links import link_number
from haulm.jobs.warning.send_digest import send_digest
from haulm.store.engine import reading
from haulm.store.tables.catalogue import METADATA
from haulm.web.links import Holder, Links
from support.desks import on
from support.door import SECRET, Door

THURSDAY, BUCKET_DAY = date(2027, 6, 10), date(2027, 6, 14)
PAGE = "/people/anna"


@pytest.fixture
def lived(known: Door) -> Door:
    """The farm of known stems after Anna answered a list, got her stems, and said what was wrong with them."""
    on(known.desk, THURSDAY)
    holder = Holder("anna", link_number(known.desk, "anna"))
    token = Links(SECRET, known.desk.now).florist_path(holder).removeprefix("/f/")
    known.post(f"/v1/florist/{token}/answers", {"asks": [{"kind": "skip"}], "note": "my quillwort is late"})
    (reply,) = known.get("/v1/replies")["replies"]
    known.post(f"/v1/replies/{reply['id']}/decline", {"note": "sorry about your quillwort"})
    known.worked_out()
    send_digest(known.desk, "owner")
    on(known.desk, BUCKET_DAY)
    known.settle("/v1/bucket-lists/2027-06-14", cut=["k1"])
    claim = {"line": "anna-1", "due": "2027-06-15", "stems": 3, "reason": "three quillwort heads"}
    known.post("/v1/claims", claim)
    return known


def shown(door: Door, path: str = PAGE) -> str:
    answer = door.ask("GET", path)
    assert answer.status_code == 200, answer.text
    return unescape(answer.text)


def everything(door: Door) -> str:
    """All tables as text."""
    with reading(door.desk.store._engine) as connection:
        rows = [[list(row) for row in connection.execute(select(table))] for table in METADATA.sorted_tables]
    return json.dumps(rows, default=str)


def test_the_page_and_the_file_say_all_that_is_kept(lived: Door) -> None:
    page, file = shown(lived), lived.get(f"{PAGE}/kept.json")

    for words in ("Studio Anna Verhoeven", "anna@verhoeven.example", "every Tuesday", "my quillwort is late"):
        assert words in page
    assert "sorry about your quillwort" in page and "three quillwort heads" in page and "nothing this week" in page
    assert (file["name"], file["email"]) == ("Studio Anna Verhoeven", "anna@verhoeven.example")
    assert [one["words"] for one in file["answers"]] == ["my quillwort is late", "sorry about your quillwort"]
    assert [one["words"] for one in file["claims"]] == ["three quillwort heads"]
    assert len(file["orders"]) == 1 and len(file["letters"]) >= 1
    assert 'href="/people/anna"' in shown(lived, "/farm/customers/row/anna")
    assert "Bram" not in json.dumps(file)


def test_erasing_asks_once_and_then_no_table_holds_the_person(lived: Door) -> None:
    asked = shown(lived, f"{PAGE}/erase")
    assert "This stays:" in asked and "backups" in asked
    assert "Verhoeven" in everything(lived) and "quillwort" in everything(lived)
    once = asked.partition('name="once" value="')[2].partition('"')[0]

    answers = [lived.ask("POST", f"{PAGE}/erase", data={"once": once}) for _ in range(2)]

    assert [answer.status_code for answer in answers] == [303, 303]
    assert [word for word in ("Verhoeven", "verhoeven", "quillwort") if word in everything(lived)] == []
    assert [entry.kind for entry in lived.desk.store.entries()].count("person-erased") == 1
    assert "Bram's corner" in everything(lived)
    assert "every Tuesday" in shown(lived) and "Verhoeven" not in shown(lived)
    assert link_number(lived.desk, "anna") > 0
    shown(lived, "/claims"), shown(lived, "/mails"), shown(lived, "/journal"), shown(lived, "/replies")


@pytest.mark.parametrize("path", ["/people/nobody", "/people/nobody/erase", "/people/nobody/kept.json"])
def test_nobody_of_that_key_is_said_on_a_page(known: Door, path: str) -> None:
    assert known.ask("GET", path).status_code == 404

"""The journal's pages: words and no keys, the way back on a page of its own, and what ends a quote asked once more."""

from __future__ import annotations

import re
from html import unescape

from support.door import Door

BATCH = {"key": "b12", "variety": "lagurus", "sow_date": "2027-05-03"}


def text_of(door: Door, path: str) -> str:
    answer = door.ask("GET", path)
    assert answer.status_code == 200, path
    return unescape(answer.text)


def read(page: str) -> str:
    """What a person reads of a page: its text without tags."""
    body = page[page.index("<main") :]
    return re.sub(r"<[^>]+>", " ", body)


def test_the_journal_says_what_happened_without_keys_and_takes_it_back_on_a_page_of_its_own(known: Door) -> None:
    door = known
    door.post("/v1/batches", BATCH)
    door.patch("/v1/batches/b12", {"sow_date": "2027-05-05"})
    page = text_of(door, "/journal")
    (entry, *_others) = re.findall(r'href="/journal/(\d+)"', page)

    assert "Batch of Bunny tail: sow date Mon 3 May → Wed 5 May" in read(page)
    assert not re.search(r"\bb12\b|\d{4}-\d\d-\d\d|row-changed", read(page))
    assert "<form" not in page[page.index("<main") : page.index("</main>")]
    asked = text_of(door, f"/journal/{entry}")
    assert asked.index("Leave it as it is") < asked.index("Yes, take it back")
    done = door.ask("POST", f"/journal/{entry}/take-back", data={"once": "a"})
    assert (done.status_code, done.headers["location"]) == (303, "/journal?said=entry_back")
    assert door.get("/v1/batches/b12")["sow_date"] == "2027-05-03"
    assert "Yes, put it back" in text_of(door, f"/journal/{entry}")
    assert door.ask("POST", f"/journal/{entry}/put-back", data={"once": "b"}).status_code == 303
    assert door.get("/v1/batches/b12")["sow_date"] == "2027-05-05"


def test_what_cannot_be_taken_back_says_why_and_leads_to_what_comes_first(known: Door) -> None:
    door = known
    door.post("/v1/batches", BATCH)
    door.patch("/v1/batches/b12", {"plants": 70})
    added = door.get("/v1/journal", limit=2)["entries"][1]["entry"]

    page = text_of(door, f"/journal/{added}")
    assert "First take back: Changed, Batch of Bunny tail" in page and "Look at what comes first" in page
    assert "Yes, take it back" not in page
    refused = door.ask("POST", f"/journal/{added}/take-back", data={"once": "c"})
    assert refused.status_code == 409 and "First take back" in refused.text


def test_a_row_has_its_history_and_parts_of_the_journal_follow_each_other(known: Door) -> None:
    door = known
    door.post("/v1/batches", BATCH)
    for plants in range(30, 60):
        door.patch("/v1/batches/b12", {"plants": plants})

    first = text_of(door, "/journal/of/batches/b12")
    (before,) = re.findall(r'href="\?before=(\d+)"', first)
    rest = text_of(door, f"/journal/of/batches/b12?before={before}")
    assert first.count('<section class="card') == 25 and rest.count('<section class="card') == 6
    assert door.ask("GET", "/journal/999999").status_code == 404
    assert door.ask("GET", "/journal?before=x").status_code == 200


def test_ending_a_quote_asks_once_on_a_page_that_says_what_it_costs(known: Door) -> None:
    door = known
    body = {"date": "2027-06-20", "customer": "anna", "lines": [{"product": "lagurus", "stems": 20}]}
    quote = door.post("/v1/quotes", body)["id"]
    page = text_of(door, f"/quotes/{quote}")
    assert f'action="/quotes/{quote}/cancel"' not in page and f'action="/quotes/{quote}/release"' not in page

    for how, yes in (("cancel", "Yes, they cancelled"), ("release", "Yes, let the stems go")):
        asked = text_of(door, f"/quotes/{quote}/end/{how}")
        assert asked.index("Leave it as it is") < asked.index(yes)
        assert re.search(r"20 stems for .*9\.00 are free for others", read(asked))
    fields = dict(re.findall(r'name="([^"]+)" value="([^"]*)"', asked))
    done = door.ask("POST", f"/quotes/{quote}/release", data=fields)
    assert done.status_code == 303
    assert door.get(f"/v1/quotes/{quote}")["status"] == "cancelled"
    assert door.ask("GET", f"/quotes/{quote}/end/anything").status_code == 404

"""What stems are unsure for is the grower's to read: no page, paper or letter for a customer has a word of it."""

import re
from collections.abc import Callable
from datetime import date, timedelta

from haulm.jobs.florists.florist_links import link_number
from haulm.web.links import Holder, Links
from support.desks import on
from support.door import SECRET, Door
from support.known_farm import growing_farm
from support.paper_reading import text_of
from support.tapping import words_of

VARIETIES = b"""key,name,role,colour,hold_days,stand_days,bunch_stems,price_minor
lagurus,Hare's-tail grass,texture,cream,7,10,10,450
"""
OpenDoor = Callable[[dict[str, bytes]], Door]
DOUBT = re.compile(
    r"first year|not known of it|other growers|might be promised of those|bad for every kind|own luck", re.I
)
QUOTED = {"date": "2027-09-14", "due": "2027-09-14", "customer": "bram", "kind": "one_off"}
BUCKET = date(2027, 9, 13)


def growing_and_quoted(open_door: OpenDoor) -> tuple[Door, str]:
    """A farm in its first year, and a quote held on what it grows."""
    door = open_door({**growing_farm(), "varieties.csv": VARIETIES})
    on(door.desk, date(2027, 5, 20))
    held = door.post("/v1/quotes", {**QUOTED, "confidence": 0.3, "lines": [{"product": "lagurus", "stems": 5}]})
    return door, held["id"]


def test_a_grower_reads_what_her_stems_are_unsure_for(open_door: OpenDoor) -> None:
    door, quote = growing_and_quoted(open_door)

    assert "in its first year with you" in words_of(door.ask("GET", "/plan/first"))
    assert "What is not known of it comes from" in words_of(door.ask("GET", f"/quotes/{quote}"))


def test_no_paper_for_a_customer_has_a_word_of_doubt(open_door: OpenDoor) -> None:
    door, quote = growing_and_quoted(open_door)

    for path in (
        f"/paper/quotes/{quote}.pdf",
        "/paper/availability.pdf?weeks=4",
        "/paper/stall-labels.pdf?product=lagurus",
    ):
        answer = door.ask("GET", path)
        assert answer.status_code == 200, (path, answer.text)
        said = text_of(answer.content)
        assert said and not DOUBT.search(said), path


def test_a_florists_page_has_no_word_of_doubt(open_door: OpenDoor) -> None:
    door, _ = growing_and_quoted(open_door)
    on(door.desk, BUCKET - timedelta(days=4))

    page = door.ask("GET", Links(SECRET, door.desk.now).florist_path(Holder("anna", link_number(door.desk, "anna"))))
    assert page.status_code == 200 and "Anna" in page.text
    assert not DOUBT.search(words_of(page))


def test_no_letter_for_a_customer_has_a_word_of_doubt(open_door: OpenDoor) -> None:
    door, _ = growing_and_quoted(open_door)
    on(door.desk, BUCKET)
    sent = door.ask("POST", f"/v1/bucket-lists/{BUCKET}/expected", json={})
    said = str(door.desk.store.outbox.posted())

    assert sent.status_code in (200, 201), sent.text
    assert "list-expected" in said and not DOUBT.search(said)

"""Letters as mails: text and HTML say the same, the bytes are the same each time, links only where they lead."""

from __future__ import annotations

import email
import re
from email.policy import default
from html import unescape
from typing import Any

import pytest

from haulm.jobs.gaps.follow_jobs import work_out_jobs
from haulm.jobs.warning.send_digest import digest_facts
from haulm.jobs.warning.warn_early import warn_early
from haulm.mail.rendering import Envelope, rendered
from haulm.store.outbox import Letter
from support.desks import NOW
from support.known_farm import growing_farm

PLAIN = Envelope("Known stems <farm@stems.example>", "anna@verhoeven.example", "Anna")
LINKED = Envelope(
    "farm@stems.example", "anna@verhoeven.example", "Anna", "https://stems.example", "/f/token", "/no-more-mail/token"
)
ROW = {"name": "Bunny tail", "bunches": 4, "bunch_stems": 10, "length": "40 cm", "price": "4.50", "caution": "awns"}
FACTS: dict[str, dict[str, Any]] = {
    "availability": {
        "farm": "Known stems",
        "monday": "2027-06-14",
        "order_by": "Fri 11 Jun, 18:00",
        "rows": [ROW],
        "coming": [{"name": "Nigella", "week": "week 26"}],
    },
    "list-confirmed": {
        "farm": "Known stems",
        "day": "2027-06-14",
        "correction": False,
        "lines": [
            {
                "due": "2027-06-15",
                "asked": "Bunny tail",
                "ordered": 25,
                "supplied": 20,
                "bunches": 2,
                "given": [{"stems": 20, "name": "Nigella", "is_substitute": True}],
                "why": "There were not more.",
                "caution": "awns",
            }
        ],
    },
    "list-expected": {
        "farm": "Known stems",
        "day": "2027-06-14",
        "deliveries": [
            {
                "due": "2027-06-15",
                "next_look": "2027-06-14",
                "lines": [
                    {"asked": "Bunny tail, awns", "ordered": 25, "yours": 5, "up_to": 20, "words": "Yours: 5; up to 20"}
                ],
            }
        ],
    },
    "before-dark": {
        "farm": "Known stems",
        "day": "2027-06-14",
        "head": "Hail to come",
        "parts": [{"title": "Cut before dark", "lines": ["Bunny tail (South bed): about 60 stand ready.", "awns"]}],
    },
    "reply-judged": {
        "farm": "Known stems",
        "monday": "2027-06-14",
        "asks": [{"sentence": "2 bunches more of Bunny tail", "outcome": "yes"}],
        "note": "",
    },
    "taken-back": {"farm": "Known stems", "day": "2027-06-14", "about": "availability", "holds": False},
}
SAYS = {"reply-judged": ("Bunny tail", "yes"), "taken-back": ("Mon 14 Jun 2027", "it no longer holds")}
"""What matters in a letter that does not name a kind and its caution."""


def parts(kind: str, envelope: Envelope = PLAIN) -> tuple[Any, str, str]:
    """A letter's message, its text and its HTML."""
    content = rendered(Letter(kind, "anna", FACTS[kind], "key"), envelope, NOW, "<one@stems.example>")
    message = email.message_from_bytes(content, policy=default)
    text, html = (message.get_body((name,)).get_content() for name in ("plain", "html"))
    return message, text, html


@pytest.mark.parametrize("kind", FACTS)
def test_text_and_html_say_what_matters(kind: str) -> None:
    message, text, html = parts(kind)

    assert "Known stems" in message["subject"] and "\n" not in message["subject"]
    for word in SAYS.get(kind, ("Bunny tail", "awns")):
        assert word in text and word in html


@pytest.mark.parametrize("kind", FACTS)
def test_the_same_letter_is_the_same_bytes(kind: str) -> None:
    made = [rendered(Letter(kind, "anna", FACTS[kind], "key"), PLAIN, NOW, "<one@stems.example>") for _ in range(2)]

    assert made[0] == made[1]
    assert max(map(len, made[0].split(b"\r\n"))) <= 998 and b"\n" not in made[0].replace(b"\r\n", b"")


def test_links_are_there_only_where_pages_can_be_reached() -> None:
    message, text, html = parts("availability")
    assert message["list-unsubscribe"] is None and "http" not in text and "href" not in html

    message, text, html = parts("availability", LINKED)
    assert message["list-unsubscribe"] == "<https://stems.example/no-more-mail/token>"
    assert message["list-unsubscribe-post"] == "List-Unsubscribe=One-Click"
    assert "https://stems.example/f/token" in text and "https://stems.example/f/token" in html


def test_a_letter_is_no_markup() -> None:
    facts = {**FACTS["availability"], "rows": [{**ROW, "name": "<script>alert(1)</script>"}]}
    content = rendered(Letter("availability", "anna", facts, "key"), PLAIN, NOW, "<one@stems.example>")
    html = email.message_from_bytes(content, policy=default).get_body(("html",)).get_content()

    assert "<script>" not in html and "&lt;script&gt;" in html


def test_the_early_warning_names_no_customer(open_desk: Any) -> None:
    desk = open_desk(growing_farm())
    facts = digest_facts(warn_early(desk))
    content = rendered(Letter("digest", None, facts, "key"), PLAIN, NOW, "<one@stems.example>")

    assert facts["gaps"]
    for part in email.message_from_bytes(content, policy=default).walk():
        if part.get_content_maintype() == "text":
            text = part.get_content()
            assert "Verhoeven" not in text and "anna" not in text.lower()


def test_text_and_html_of_the_early_warning_say_the_same(open_desk: Any) -> None:
    desk = open_desk(growing_farm())
    work_out_jobs(desk)
    facts = digest_facts(warn_early(desk))
    content = rendered(Letter("digest", None, facts, "key"), LINKED, NOW, "<one@stems.example>")
    message = email.message_from_bytes(content, policy=default)
    text = " ".join(message.get_body(("plain",)).get_content().split())
    html = " ".join(unescape(re.sub(r"<[^>]+>", " ", message.get_body(("html",)).get_content())).split())

    said = [item["text"] for section in facts["sections"] for item in section["items"]]
    assert len(said) > 1
    for sentence in (*said, *facts["opening"], *facts["foot"]):
        assert sentence in text and sentence in html


def test_an_early_warning_that_an_older_program_queued_can_still_be_read() -> None:
    facts = {"farm": "Known stems", "day": "2027-06-14", "level": 0.8, "text": "By Sun 20 Jun: Bunny tail", "gaps": []}
    content = rendered(Letter("digest", None, facts, "key"), PLAIN, NOW, "<one@stems.example>")
    message = email.message_from_bytes(content, policy=default)

    for kind in ("plain", "html"):
        assert "By Sun 20 Jun: Bunny tail" in message.get_body((kind,)).get_content()


def test_what_may_be_hoped_for_is_said_not_to_be_promised() -> None:
    rows = [{**ROW, "hope": 7}]
    facts = {**FACTS["availability"], "rows": rows, "hoped": [{"name": "Ammi", "bunches": 3, "bunch_stems": 10}]}
    content = rendered(Letter("availability", "anna", facts, "key"), PLAIN, NOW, "<one@stems.example>")
    message = email.message_from_bytes(content, policy=default)

    for kind in ("plain", "html"):
        text = " ".join(message.get_body((kind,)).get_content().split())
        assert "hope to offer 7, not promised" in text and "hope to offer, not promised: Ammi, 3 bunches of 10" in text


def test_care_sprays_and_hints_stand_once_in_text_and_html_after_the_lines() -> None:
    care = {"care": ["DANGER, Foxglove: Dangerously poisonous: gloves."], "sprays": ["Sprayed: Foxglove in South bed."]}
    facts = {**FACTS["list-confirmed"], **care, "handling": ["Snapdragon: tips bend."]}
    content = rendered(Letter("list-confirmed", "anna", facts, "key"), PLAIN, NOW, "<one@stems.example>")
    message = email.message_from_bytes(content, policy=default)
    for part in (message.get_body(("plain",)), message.get_body(("html",))):
        assert part is not None
        text = part.get_content()
        for words in (*care["care"], *care["sprays"], "Handling, Snapdragon: tips bend."):
            assert text.count(words) == 1
        assert text.index("20") < text.index("Take care") < text.index("Sprayed") < text.index("Handling")


def test_what_is_expected_is_answered_on_her_page_or_by_ringing_and_called_final_nowhere() -> None:
    for envelope, way in ((LINKED, "https://stems.example/f/token"), (PLAIN, "Ring us, or write back.")):
        message, text, html = parts("list-expected", envelope)
        for said in (text, html):
            assert way in said and "Yours: 5; up to 20" in said and "final" not in said.lower()
            assert all(word in said for word in ("I wait", "Something else", "Release me", "Tue 15 Jun", "Mon 14 Jun"))
            assert "2027-06" not in said
    assert message["list-unsubscribe"] is None


def test_a_letter_of_fewer_says_so_in_its_subject() -> None:
    facts = {**FACTS["list-confirmed"], "correction": True}
    content = rendered(Letter("list-confirmed", "anna", facts, "key"), PLAIN, NOW, "<one@stems.example>")

    message = email.message_from_bytes(content, policy=default)
    assert message["subject"] == "Known stems: fewer stems for Mon 14 Jun than we wrote"
    assert "fewer come than we wrote before" in message.get_body(("plain",)).get_content()

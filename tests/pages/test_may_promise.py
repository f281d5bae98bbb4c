"""May I promise it? The page says what the interface for programs says, and writes nothing."""

from __future__ import annotations

import html

from support.door import Door

DAY = "2027-06-18"


def test_it_says_the_same_as_the_interface_for_programs(known: Door) -> None:
    version = known.desk.store.farm().version
    said = known.post("/v1/may-promise", {"product": "lagurus", "due": DAY})["sentence"]
    page = html.unescape(known.ask("GET", f"/may-promise?kind=lagurus&day={DAY}").text)
    assert said in page and 'href="/year/lagurus"' in page
    assert known.desk.store.farm().version == version


def test_a_day_that_cannot_be_stands_beside_its_field_with_what_was_typed(known: Door) -> None:
    for day in ("soon", "2020-01-01"):
        text = known.ask("GET", f"/may-promise?kind=lagurus&day={day}").text
        assert 'id="wrong-day"' in text and f'value="{day}"' in text and "Make a quote" not in text


def test_nothing_is_asked_before_kind_and_day_are_named(known: Door) -> None:
    text = known.ask("GET", "/may-promise?kind=lagurus").text
    assert '<option value="lagurus" selected>' in text and "Make a quote" not in text and "wrong-day" not in text

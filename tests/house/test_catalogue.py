"""The catalogue of messages is the one that the sources give, and every message can be filled in."""

import re

from babel.messages.pofile import read_po

from support.catalogue_again import CATALOGUE, catalogue


def test_the_catalogue_is_written_again_after_a_word_changed() -> None:
    """Where this fails: `.venv/bin/python tests/support/catalogue_again.py`."""
    assert CATALOGUE.read_bytes() == catalogue()


def test_the_messages_of_a_count_name_the_same_places() -> None:
    with CATALOGUE.open("rb") as opened:
        found = [message.id for message in read_po(opened) if isinstance(message.id, tuple)]
    assert len(found) > 5
    for one, more in found:
        assert set(re.findall(r"\{\w+\}|%\(\w+\)s", one)) <= set(re.findall(r"\{\w+\}|%\(\w+\)s", more)), (one, more)

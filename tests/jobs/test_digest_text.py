"""The early warning as a letter: narrow, fifteen lines, and never without what is due within a week."""

from dataclasses import replace
from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from haulm.jobs.digest_text import digest_text
from haulm.jobs.letter_lines import MOST_LINES, SECTIONS, Item, fitted
from haulm.jobs.warn_early import Digest

DAY = date(2027, 6, 14)
WORDS = st.text(st.characters(min_codepoint=97, max_codepoint=122), min_size=1, max_size=12)
SENTENCES = st.lists(WORDS, min_size=1, max_size=40).map(" ".join)
ITEMS = st.lists(st.builds(Item, st.sampled_from(SECTIONS), SENTENCES, st.booleans()), max_size=12)


def letter(items: list[Item], missing: str | None = None) -> str:
    """The letter of a quiet day, with what there is to say put in."""
    return digest_text(Digest("Farm", DAY, "at 80 % sure", (), 0, (), missing, body=fitted(items)))


@given(ITEMS, st.none() | SENTENCES)
def test_no_line_is_wider_than_76_and_no_word_of_what_is_due_is_lost(items: list[Item], missing: str | None) -> None:
    text = letter(items, missing)

    assert max(map(len, text.splitlines())) <= 76
    said = " ".join(text.split())
    assert all(item.text in said for item in items if item.must)
    assert (missing or "") in said


@given(ITEMS)
def test_fifteen_lines_are_the_most_unless_what_is_due_within_a_week_takes_more(items: list[Item]) -> None:
    body = fitted(items)

    due = fitted([item for item in items if item.must])
    room = MOST_LINES if len(due.lines) < MOST_LINES else len(due.lines) + 1
    assert len(body.lines) <= room
    assert set(due.items) <= set(body.items)
    assert body.cut == len(items) - len(body.items)
    assert not body.cut or str(body.cut) in body.lines[-1]


@given(ITEMS)
def test_what_comes_first_is_cut_only_where_it_alone_would_not_fit(items: list[Item]) -> None:
    optional = [replace(item, must=False) for item in items]
    body = fitted(optional)

    if optional and len(fitted(optional[:1]).lines) < MOST_LINES:
        assert body.items[0] == optional[0]


def test_a_quiet_day_says_so() -> None:
    text = letter([])

    assert "Nothing is short at 80 % sure." in text
    assert "Nothing is due on the farm in the coming week." in text

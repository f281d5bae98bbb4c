"""The early warning as a letter: narrow, whole, and the same for the same values."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from haulm.jobs.digest_text import digest_text
from haulm.jobs.warn_early import Digest, Task

DAY = date(2027, 6, 14)
WORDS = st.text(st.characters(min_codepoint=97, max_codepoint=122), min_size=1, max_size=12)
SENTENCES = st.lists(WORDS, min_size=1, max_size=40).map(" ".join)


def letter(**parts: object) -> str:
    """The letter of a quiet day, with what matters put in."""
    quiet = {"alerts": (), "more_gaps": 0, "tasks": (), "forecast_missing": None}
    return digest_text(Digest("Farm", DAY, "at 80 % sure", **{**quiet, **parts}))  # type: ignore[arg-type]


@given(st.lists(SENTENCES, max_size=3), st.none() | SENTENCES)
def test_no_line_is_wider_than_76_and_no_word_is_lost(sentences: list[str], missing: str | None) -> None:
    text = letter(tasks=tuple(Task(DAY, sentence) for sentence in sentences), forecast_missing=missing)

    assert max(map(len, text.splitlines())) <= 76
    said = " ".join(text.split())
    assert all(sentence in said for sentence in (*sentences, missing or ""))


def test_a_quiet_day_says_so() -> None:
    text = letter()

    assert "Nothing is short at 80 % sure." in text
    assert "Nothing is due on the farm in the coming week." in text

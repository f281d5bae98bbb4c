"""What a line of a quote asks, in words."""

import pytest

from haulm.farm.products import Choice
from haulm.farm.words import Role
from haulm.jobs.quotes.line_words import joined, wanted_words
from support.farms import order_line

NAMES = {"lagurus": "Bunny tail"}


@pytest.mark.parametrize(
    ("words", "said"),
    [([], ""), (["white"], "white"), (["white", "cream"], "white or cream"), (["a", "b", "c"], "a, b or c")],
)
def test_words_are_joined_as_they_are_said(words: list[str], said: str) -> None:
    assert joined(words) == said
    assert joined(words, "and") == said.replace(" or ", " and ")


def test_a_kind_is_named_as_the_farm_names_it_and_dried_is_said() -> None:
    assert wanted_words(order_line(), None, (), NAMES) == "Bunny tail"
    assert wanted_words(order_line(product="lagurus:dried"), "texture", ("cream",), NAMES) == "Bunny tail, dried"
    assert wanted_words(order_line(product="peony"), None, (), NAMES) == "peony"


def test_a_role_is_said_with_its_colours_where_any_were_asked() -> None:
    line = order_line(product=None, choice=Choice((Role.ACCENT,)))

    assert wanted_words(line, "accent", ("white", "cream"), NAMES) == "accent in white or cream"
    assert wanted_words(line, "accent", (), NAMES) == "accent"
    assert wanted_words(line, None, (), NAMES) == str(line.choice)

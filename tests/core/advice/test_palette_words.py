"""Palettes in words."""

from __future__ import annotations

import pytest

from haulm.advice.palette_words import palette_of
from haulm.errors import NotAccepted
from haulm.farm.words import Role


def test_soft_whites_with_movement() -> None:
    found = palette_of("Soft whites with movement")
    assert (found.colours, found.wishes) == (("white", "cream"), (Role.MOVEMENT,))


def test_no_words_are_any_colour_and_no_wish() -> None:
    assert (palette_of("").colours, palette_of("").wishes) == ((), ())


def test_a_colour_that_a_kind_of_the_farm_has_is_a_word() -> None:
    assert palette_of("salmon", ["Salmon"]).colours == ("salmon",)


def test_an_unknown_word_is_named_with_those_that_are_known() -> None:
    with pytest.raises(NotAccepted, match=r"palette: found 'glitter'; accepted is words among .*white"):
        palette_of("white and glitter")

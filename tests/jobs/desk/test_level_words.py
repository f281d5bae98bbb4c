"""How sure everything should be, in words."""

from haulm.farm.site import ClassLevels
from haulm.jobs.desk.level_words import levels_in_words
from support.farms import site

EACH = "at the level each was promised at, else"


def test_classes_that_share_a_level_are_named_together() -> None:
    words = f"{EACH} weddings 80 %, standing orders and one-off orders 65 % and the stall 50 % sure"
    assert levels_in_words(site()) == words


def test_one_level_for_all_is_said_once() -> None:
    same = ClassLevels(0.7, 0.7, 0.7, 0.7)
    assert levels_in_words(site(default_confidence=0.7)) == levels_in_words(site(levels=same)) == f"{EACH} 70 % sure"


def test_a_level_that_is_asked_is_the_one_that_is_said() -> None:
    assert levels_in_words(site(), 0.9) == "at 90 % sure"

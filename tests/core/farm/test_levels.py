"""How sure a promise must be: by class, or one level for all."""

from haulm.farm.site import ClassLevels
from haulm.farm.words import LineClass
from support.farms import site

PROMISED = (LineClass.WEDDING, LineClass.STANDING, LineClass.ONE_OFF, LineClass.STALL)


def test_a_new_farm_has_levels_by_class() -> None:
    assert [site().level_of(one) for one in PROMISED] == [0.8, 0.65, 0.65, 0.5]


def test_one_level_for_all_holds_for_every_class() -> None:
    assert {site(default_confidence=0.7).level_of(one) for one in PROMISED} == {0.7}


def test_each_class_has_its_own_and_what_is_free_that_of_a_one_off_order() -> None:
    found = site(levels=ClassLevels(wedding=0.9, one_off=0.6))
    assert [found.level_of(one) for one in PROMISED] == [0.9, 0.65, 0.6, 0.5]
    assert found.free_level == 0.6

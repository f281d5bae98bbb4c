"""What the farm is asked about its plants is said once, however many rows have the same name."""

from haulm.jobs.farm.plants_asked import plants_asked
from support.farms import variety


def test_a_name_that_means_several_plants_is_asked_about_once() -> None:
    rows = (variety("a", name="White lily"), variety("b", name="White lily"), variety("cornflower", name="Cornflower"))

    (asked,) = plants_asked(rows)
    assert "lily" in asked.casefold()


def test_a_botanical_name_answers_it() -> None:
    assert plants_asked([variety("a", name="White lily", botanical_name="Lilium regale")]) == ()

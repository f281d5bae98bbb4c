"""One sowing, in words: what is counted follows from how it is begun."""

from datetime import date

from haulm.farm.words import Method
from haulm.jobs.quotes.sowing_words import sowing_in_words
from support.forecast_builders import crop

DAY = date(2027, 5, 11)
ZINNIA = crop(name="White zinnia")


def test_what_is_sown_is_counted_in_places_and_what_is_planted_by_what_it_is() -> None:
    assert sowing_in_words(ZINNIA, Method.COVER, 80, DAY) == "80 places of White zinnia on Tue 11 May 2027"
    assert sowing_in_words(ZINNIA, Method.PLUGS, 80, DAY) == (
        "80 bought plugs of White zinnia, planted on Tue 11 May 2027"
    )
    planted = f"80 {ZINNIA.costs.planted_as}s of White zinnia, planted on Tue 11 May 2027"
    assert sowing_in_words(ZINNIA, Method.TUBER, 80, DAY) == planted


def test_methods_that_sow_read_alike() -> None:
    sown = (Method.COVER, Method.HEATED, Method.DIRECT)

    assert len({sowing_in_words(ZINNIA, method, 80, DAY) for method in sown}) == 1

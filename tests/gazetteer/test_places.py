"""Places are found by the names people type."""

import pytest

from haulm.errors import NotAccepted
from haulm.gazetteer.places import LEAST_LETTERS, MOST_LETTERS, MOST_PLACES, place_numbered, places_named


@pytest.mark.parametrize(
    ("typed", "name", "country", "timezone", "currency"),
    [
        ("Hereford", "Hereford", "United Kingdom", "Europe/London", "GBP"),
        ("hereford , united k", "Hereford", "United Kingdom", "Europe/London", "GBP"),
        ("Aarhus", "\u00c5rhus", "Denmark", "Europe/Copenhagen", "DKK"),
        ("\u00c5rhus", "\u00c5rhus", "Denmark", "Europe/Copenhagen", "DKK"),
        ("Orange, Australia", "Orange", "Australia", "Australia/Sydney", "AUD"),
        ("Z\u00fcrich", "Z\u00fcrich", "Switzerland", "Europe/Zurich", "CHF"),
    ],
)
def test_a_place_is_found_with_its_country_its_hours_and_its_money(
    typed: str, name: str, country: str, timezone: str, currency: str
) -> None:
    found = places_named(typed)[0]
    assert (found.name, found.country, found.timezone, found.currency) == (name, country, timezone, currency)


def test_the_state_tells_american_towns_of_one_name_apart() -> None:
    assert places_named("Ithaca, New York")[0].words == "Ithaca, New York, United States"
    assert len({place.words for place in places_named("Springfield")}) == MOST_PLACES


def test_the_larger_of_two_of_one_name_comes_first_and_whole_names_before_beginnings() -> None:
    found = places_named("Troy")
    assert [place.name for place in found[:4]] == ["Troy"] * 4
    assert [place.people for place in found[:4]] == sorted((place.people for place in found[:4]), reverse=True)


def test_a_place_is_found_again_by_its_number() -> None:
    place = places_named("Ludlow, United Kingdom")[0]
    assert place_numbered(place.number) == place
    assert place_numbered(1) is None


def test_nothing_is_found_where_nothing_is_called_so() -> None:
    assert places_named("Xqzzyvale") == ()
    assert places_named('a"b') == ()


@pytest.mark.parametrize("typed", ["", "a" * (LEAST_LETTERS - 1), ", Denmark", "a" * (MOST_LETTERS + 1)])
def test_what_is_no_name_is_refused_with_what_would_be(typed: str) -> None:
    with pytest.raises(NotAccepted, match="such as Hereford"):
        places_named(typed)

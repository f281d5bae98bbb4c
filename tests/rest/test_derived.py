"""Shapes that are derived from values: the value's names, types and words, and nothing that was not asked for."""

from dataclasses import dataclass
from datetime import UTC, date, datetime

import pytest

from haulm.rest.derived import Derived


@dataclass(frozen=True)
class Stem:
    """One stem.

    Attributes:
        length_cm: how long it is,
            None where nobody looked.
        red, green: how much of each.
    """

    length_cm: int | None
    red: float
    green: float


@dataclass(frozen=True)
class Bunch:
    """Some stems.

    Attributes:
        stems: each of them.
        cut_on: the day.
        whose: a name, which is nobody's business.
    """

    stems: tuple[Stem, ...]
    cut_on: date
    at: datetime
    whose: str

    @property
    def count(self) -> int:
        """How many."""
        return len(self.stems)


class BunchShape(Derived, of=Bunch, without=("whose",)):
    """A bunch as it is sent."""

    count: int
    price: int


class DayShape(Derived, of=Bunch, only=("cut_on",)):
    """Its day alone."""


BUNCH = Bunch(
    (Stem(None, 1 / 3, 1.0), Stem(40, 0.0, 0.25)), date(2027, 6, 1), datetime(2027, 6, 1, 5, tzinfo=UTC), "Anna"
)


def test_what_is_sent_has_the_values_names_and_six_digits() -> None:
    sent = BunchShape.told(BUNCH, price=300).model_dump(mode="json")

    assert sent == {
        "stems": [
            {"length_cm": None, "red": 0.333333, "green": 1.0},
            {"length_cm": 40, "red": 0.0, "green": 0.25},
        ],
        "cut_on": "2027-06-01",
        "at": "2027-06-01T05:00:00+00:00",
        "count": 2,
        "price": 300,
    }
    assert DayShape.told(BUNCH).model_dump(mode="json") == {"cut_on": "2027-06-01"}


def test_it_is_described_in_the_values_own_words() -> None:
    described = BunchShape.model_json_schema(mode="serialization")
    stem = described["$defs"]["StemShape"]

    assert described["description"] == "A bunch as it is sent."
    assert described["properties"]["cut_on"] == {
        "description": "The day.",
        "format": "date",
        "title": "Cut On",
        "type": "string",
    }
    assert stem["description"] == "One stem."
    assert stem["properties"]["length_cm"]["description"] == "How long it is, null where nobody looked."
    assert stem["properties"]["red"]["description"] == stem["properties"]["green"]["description"] == "How much of each."
    assert stem["required"] == ["length_cm", "red", "green"]


def test_what_a_value_does_not_have_cannot_be_sent_of_it() -> None:
    with pytest.raises(AssertionError):
        type("WrongShape", (Derived,), {}, of=Bunch, only=("colour",))

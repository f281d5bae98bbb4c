"""What letters of a list tell: the figures of the list, care said once, and one letter for each customer and day."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from haulm.jobs.bucket_day.confirmed_lists import SettledDelivery
from haulm.jobs.bucket_day.letters import CONFIRMED_LIST, EXPECTED_LIST, expected_letter, settled_letter
from haulm.jobs.bucket_day.listed import EXPECTED
from haulm.jobs.bucket_day.told_week import ToldDelivery, ToldLine
from haulm.planning.keeping import crops_of
from support.desks import MONDAY
from support.farms import farm, variety

TUESDAY = MONDAY + timedelta(days=1)
FARM = farm(varieties=(variety(caution="Keep from pets."),))
CROPS = crops_of(FARM)


def kept_line(variety: str = "lagurus", **more: Any) -> dict[str, Any]:
    """Thirty of forty stems of a line, as a list keeps it."""
    source = {"product": variety, "ready_date": "2027-06-14", "cut_date": "2027-06-14", "stems": 30}
    own = {"line": "anna-1", "product": variety, "choice": None, "asked": 40, "filled": 30, "bunches": 3}
    return {**own, "from": [source], "spare_from": [], "caution": "said on the list", "share": None, **more}


def settled(*lines: dict[str, Any]) -> SettledDelivery:
    """Anna's delivery of Tuesday."""
    return SettledDelivery(MONDAY, "anna-weekly", TUESDAY, "anna", lines, 7)


def test_a_settled_delivery_is_told_as_it_was_settled() -> None:
    letter = settled_letter(FARM, CROPS, settled(kept_line()), 9, correction=True)

    assert (letter.kind, letter.customer) == (CONFIRMED_LIST, "anna")
    assert letter.facts["correction"] is True
    (line,) = letter.facts["lines"]
    assert (line["ordered"], line["supplied"], line["bunches"], line["due"]) == (40, 30, 3, "2027-06-15")
    assert line["given"] == [{"stems": 30, "name": "Lagurus", "is_substitute": False}]


def test_care_is_said_once_for_the_letter_and_by_the_line_where_a_kind_is_grown_no_more() -> None:
    known = settled_letter(FARM, CROPS, settled(kept_line()), 9, correction=False)
    gone = settled_letter(FARM, {}, settled(kept_line()), 9, correction=False)

    assert known.facts["lines"][0]["caution"] == ""
    assert any(said.endswith("Keep from pets.") for said in known.facts["care"])
    assert gone.facts["lines"][0]["caution"] == "said on the list"


def test_each_settling_has_a_letter_of_its_own_and_each_day_one_that_expects() -> None:
    one = settled(kept_line())
    assert settled_letter(FARM, CROPS, one, 9, correction=False) != settled_letter(
        FARM, CROPS, one, 10, correction=True
    )

    line = ToldLine("anna-1", "Lagurus", 40, 20, 30, 0, (), "", "Yours: 20; up to 30", ())
    told = ToldDelivery("anna-weekly", TUESDAY, EXPECTED, False, date(2027, 6, 14), (line,))
    first, later = (expected_letter(FARM, MONDAY, "anna", [way]) for way in (told, replace(told, lines=())))
    assert (first.kind, first.customer) == (EXPECTED_LIST, "anna")
    assert first.facts["deliveries"][0]["lines"] == [
        {"asked": "Lagurus", "ordered": 40, "yours": 20, "up_to": 30, "words": "Yours: 20; up to 30"}
    ]
    assert first.key == later.key

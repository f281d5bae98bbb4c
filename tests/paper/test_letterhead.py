"""Address, phone, bank and terms stand on the quote and on the delivery note as the farm writes them."""

from collections.abc import Callable

from support.door import Door
from support.known_farm import PARTY, SITE, known_farm

OpenDoor = Callable[[dict[str, bytes]], Door]
Paper = Callable[[Door, str], str]
PAPERS = """
    [prices]
    tax_percent = 9.0
    stem_minor = 50

    [papers]
    address = "Long Lane 3\\nWestmoor"
    phone = "0100 555 010"
    tax_number = "WM-12"
    tax_name = "Sales tax"
    bank = "Fields Bank, 00 11 22"
    deposit = "A third beforehand."
    terms = "The rest on the day."
    """


def test_a_quote_says_who_sends_it_and_what_is_agreed_besides(open_door: OpenDoor, paper: Paper) -> None:
    orders = PARTY["orders"].replace("contracted", "quoted")
    text = paper(open_door(known_farm(site=SITE + PAPERS, **{**PARTY, "orders": orders})), "/paper/quotes/party.pdf")

    for words in ("Long Lane 3 Westmoor 0100 555 010 Tax number: WM-12", "Sales tax, 9 %", "Fields Bank, 00 11 22"):
        assert words in text
    assert text.index("A third beforehand.") < text.index("The rest on the day.") < text.index("Fields Bank")


def test_a_farm_that_says_nothing_of_itself_has_its_name_alone(open_door: OpenDoor, paper: Paper) -> None:
    orders = PARTY["orders"].replace("contracted", "quoted")
    text = paper(open_door(known_farm(**{**PARTY, "orders": orders})), "/paper/quotes/party.pdf")

    assert "From: Known stems For: Bram" in text and "What is agreed besides" not in text


def test_a_delivery_note_says_who_sends_it(open_door: OpenDoor, paper: Paper) -> None:
    door = open_door(known_farm(site=SITE + PAPERS))
    door.settle("/v1/bucket-lists/2027-06-14", cut=("k1",))

    assert "Long Lane 3 Westmoor 0100 555 010" in paper(door, "/paper/bucket-lists/2027-06-14/delivery.pdf")

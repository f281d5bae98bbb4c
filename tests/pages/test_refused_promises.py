"""A promise that is refused, on pages: what it would cost, what would pass, and the owner's way past it."""

import pytest

from support.door import Door
from support.tapping import form_of, tapped

QUOTE = {"date": "2027-06-20", "due": "2027-06-18", "lines": [{"product": "lagurus", "stems": 30}]}
FALL = "Bram&#39;s corner&#39;s 20 Bunny tail for Fri 18 Jun 2027 from 100 % to 0 %"


@pytest.fixture
def quote(known: Door) -> str:
    """The page of a quote for a wedding of 30 lagurus, of which 15 are free."""
    return f"/quotes/{known.post('/v1/quotes', QUOTE)['id']}"


def test_a_refused_contract_says_whom_it_would_cost_and_what_would_pass(known: Door, quote: str) -> None:
    answer = tapped(known, quote, "contract", deposit="5.00")

    assert answer.status_code == 409
    assert FALL in answer.text and "<li>15 could be promised.</li>" in answer.text
    assert "Nothing that can still be sown would close it." in answer.text
    assert form_of(answer.text, f"{quote}/contract")["deposit"] == "5.00"


def test_the_owner_promises_it_all_the_same_and_says_why(known: Door, quote: str) -> None:
    refused = tapped(known, quote, "contract", deposit="5.00")
    again = {**form_of(refused.text, f"{quote}/contract"), "override_reason": "They come every year."}
    assert known.ask("POST", f"{quote}/contract", data=again).status_code == 303

    page = known.ask("GET", quote).text
    assert "Contracted in spite of a refusal (They come every year.)" in page
    assert "Deposit written down: " in page


def test_an_override_without_a_reason_is_a_refusal(known: Door, quote: str) -> None:
    assert tapped(known, quote, "contract", override_reason="  ").status_code == 409


def test_a_hold_says_whether_it_could_be_contracted(known: Door, quote: str) -> None:
    small = f"/quotes/{known.post('/v1/quotes', {**QUOTE, 'lines': [{'product': 'lagurus', 'stems': 10}]})['id']}"
    tapped(known, small, "hold", until="2027-06-17")
    assert "It could be contracted today." in known.ask("GET", small).text

    tapped(known, quote, "hold", until="2027-06-17", override_reason="an old friend")
    page = known.ask("GET", quote).text
    assert "It could not be contracted today" in page and FALL in page

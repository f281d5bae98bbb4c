"""Why something is not as it was told: what was written down since, each once; promises that were accepted are none."""

from datetime import date

from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.farm.words import OrderKind
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.promises.hold_quote import contract_quote
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from haulm.jobs.warning.told_gaps import ToldLetter
from haulm.jobs.warning.why_changed import THE_DATE, why_changed
from support.desks import done

FRIDAY = date(2027, 6, 18)


def told(desk: Desk) -> ToldLetter:
    return ToldLetter(version=desk.store.version())


def added(desk: Desk, collection: str, **values: object) -> None:
    done(desk, lambda work: add_row(desk, work, RowAsked(collection, values)))


def test_where_nothing_was_written_it_is_the_date(desk: Desk) -> None:
    assert why_changed(desk, told(desk)) == why_changed(desk, ToldLetter()) == THE_DATE


def test_everything_that_was_written_since_is_named_once_and_nothing_from_before(desk: Desk) -> None:
    added(desk, "customers", key="dora", name="Dora")
    letter = told(desk)
    for day in ("2027-06-12", "2027-06-13"):
        added(desk, "records", date=day, kind="frost")
    records = why_changed(desk, letter)
    added(desk, "known_stems", key="k9", product="lagurus", ready_date="2027-06-20", stems=5)

    assert records == "records"
    assert why_changed(desk, letter).startswith("records and ")
    assert why_changed(desk, told(desk)) == THE_DATE


def test_a_promise_that_was_accepted_is_no_cause(desk: Desk) -> None:
    asked = QuoteAsked(FRIDAY, lines=(OrderLine("", "", 5, Product("lagurus")),), kind=OrderKind.ONE_OFF)
    key = done(desk, lambda work: quote_wedding(desk, work, asked)).order.key
    letter = told(desk)

    done(desk, lambda work: contract_quote(desk, work, key))

    assert why_changed(desk, letter) == THE_DATE

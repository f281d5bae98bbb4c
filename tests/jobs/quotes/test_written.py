"""A quote put into the value that is written down: its price adds up, its lines are those asked."""

from dataclasses import replace
from datetime import date, timedelta

from haulm.advice.pieces import PieceAsked
from haulm.jobs.desk.desk import Desk
from haulm.jobs.quotes.answer import QuoteAsked
from haulm.jobs.quotes.sheet_price import SheetPrice
from haulm.jobs.quotes.written import minutes_each, price_of, version_of
from haulm.planning.plan import Plan
from support.farms import order, order_line
from support.quote_answers import answer, asked_for

DUE = date(2027, 6, 18)


def parts_of(price: SheetPrice) -> int:
    """All parts of a price [minor units]."""
    return (
        price.stems_minor
        + price.spare_minor
        + price.labour_minor
        + price.delivery_minor
        + price.tax_minor
        + price.seed_minor
    )


def test_the_price_is_the_sum_of_its_parts_with_the_seed_in_it(desk: Desk) -> None:
    asked = asked_for(DUE, 20, 5)
    found = answer(desk, asked)
    bare, sown = (version_of(found, asked, number=1, today=desk.today(), seed_minor=seed) for seed in (0, 730))

    assert (bare.price.stems_minor, bare.price.seed_minor, sown.price.seed_minor) == (25 * 45, 0, 730)
    assert parts_of(bare.price) == bare.price.total_minor < sown.price.total_minor == parts_of(sown.price)


def test_the_lines_are_those_asked_and_nothing_says_surer_than_the_whole(desk: Desk) -> None:
    asked = asked_for(DUE, 40, 30)
    version = version_of(answer(desk, asked), asked, number=3, today=desk.today())

    assert (version.number, [line.stems for line in version.lines]) == (3, [40, 30])
    # Of 60 that stand, anna's 25 leave on Tuesday: 35 are left for 40 and 30.
    assert version.order_confidence == 0.0 == min(line.confidence for line in version.lines)
    assert version.valid_until <= version.due_date
    assert version.safer is None and version.pieces == ()


def test_it_is_valid_no_longer_than_to_the_day_the_stems_leave(desk: Desk) -> None:
    asked = asked_for(desk.today() + timedelta(days=2), 5)
    assert version_of(answer(desk, asked), asked, number=1, today=desk.today()).valid_until == asked.due_date


def test_a_price_agreed_for_all_of_a_line_stands_as_it_is(desk: Desk) -> None:
    plan: Plan = desk.plan()
    agreed = price_of(plan, order(due="2027-06-18"), order_line(stems=30, agreed_price_minor=999))
    listed = price_of(plan, order(due="2027-06-18"), order_line(stems=30))
    assert (agreed.total_minor, listed.total_minor) == (999, 30 * 45)


def test_nobody_pays_for_making_what_the_couple_arranges(desk: Desk) -> None:
    asked = QuoteAsked(DUE, pieces=(PieceAsked("bridal_bouquet", 1),), due_date=DUE)
    found = answer(desk, asked)
    (need,), site = found.draft.needs, found.trial.farm.site

    assert minutes_each(need, replace(asked, own_arranging=True), site) == 0 < minutes_each(need, asked, site)

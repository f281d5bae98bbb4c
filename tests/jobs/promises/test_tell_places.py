"""Where what a quote asks falls, with the price of each place."""

from datetime import date, timedelta

from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.tell_places import lines_told, parts_told, price_of_parts, told_on, with_places
from haulm.jobs.quotes.order_parts import TwoParts
from haulm.jobs.quotes.size import Part
from haulm.jobs.quotes.written import version_of
from support.farms import order
from support.quote_answers import answer, asked_for

FRIDAY = date(2027, 6, 18)


def test_what_stands_is_promised_and_nothing_is_promised_twice(desk: Desk) -> None:
    """35 of 50 stand for Friday, and nothing sown in June flowers by then."""
    asked = asked_for(FRIDAY, 50)
    found = answer(desk, asked)
    version = with_places(desk, desk.plan(), found, asked, version_of(found, asked, number=1, today=desk.today()))

    places = version.places
    assert places is not None and places.promised is not None and places.sown is None
    assert places.counts.promised == (35,)
    told = places.counts
    assert sum((*told.promised, *told.sown, *told.wished, *told.beyond)) == 50
    assert [part.count for part in places.promised.parts] == [35]
    assert places.promised.price.stems_minor == 35 * 45


def test_the_price_of_parts_is_that_of_their_lines_and_the_seed(desk: Desk) -> None:
    asked = asked_for(FRIDAY, 50)
    found = answer(desk, asked)
    inner, both = TwoParts((35,), (0,)), TwoParts((35,), (15,))
    few, many = (price_of_parts(desk.plan(), found.order, asked, parts, 200) for parts in (inner, both))

    assert (few.stems_minor, many.stems_minor) == (35 * 45, 50 * 45)
    assert few.seed_minor == many.seed_minor == 200


def test_parts_of_which_there_are_none_are_left_out() -> None:
    asked, parts = asked_for(FRIDAY, 10, 4), (Part("tails", 10, 10, 1.0), Part("mist", 4, 4, 1.0))

    (told,) = parts_told(parts, (5, 0), asked, (0.4, 0.2))
    assert (told.what, told.count, told.stems, told.likelihood) == ("tails", 5, 5, 0.4)
    assert [line["stems"] for line in lines_told(asked)] == [10, 4]


def test_a_wish_is_told_with_the_final_numbers_never_before_today_nor_after_the_stems_left(desk: Desk) -> None:
    plan = desk.plan()
    ahead = plan.farm.site.quotes.final_numbers_days
    late = plan.today + timedelta(days=ahead + 30)

    assert told_on(plan, order(due=str(plan.today + timedelta(days=1)))) == plan.today
    assert told_on(plan, order(due=str(late))) == late - timedelta(days=ahead)

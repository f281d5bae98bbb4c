"""Where what a quote asks falls, and the two parts of an order that come of it."""

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from haulm.farm.at_home import AtHome
from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.farm.words import BatchStatus, InHand, Needed, OrderPart, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.follow_floors import follow_floors
from haulm.jobs.promises.hold_quote import Promised, contract_quote
from haulm.jobs.promises.promise_part import PartStep, promise_part
from haulm.jobs.promises.quote_wedding import Quote, QuoteAsked, quote_wedding
from haulm.jobs.promises.show_quote import list_quotes, show_quote
from haulm.jobs.promises.take_back_part import take_back_part
from haulm.jobs.quotes.places_in_words import places_in_words
from haulm.jobs.quotes.places_told import PlacesTold
from haulm.jobs.quotes.promise_refused import PromiseRefused, with_a_way_on
from haulm.jobs.quotes.refusals import PartNotOffered
from haulm.planning.sown_for import begun_on
from support.desks import NOW, desk_over, on, sqlite_store
from support.known_farm import growing_farm

SUNDAY, FRIDAY = date(2027, 6, 20), date(2027, 6, 18)
MAY, AUGUST, SEPTEMBER = date(2027, 5, 3), date(2027, 8, 24), date(2027, 9, 7)


@pytest.fixture
def spring(tmp_path: Path) -> Desk:
    """In May, on the farm that grows too little: ten plants flower in August, and what is sown now may yet."""
    return desk_over(sqlite_store(tmp_path), growing_farm(), today=MAY)


def quoted(desk: Desk, *stems: int, due: date = FRIDAY, **more: Any) -> Quote:
    """A quote for so many lagurus, a line each."""
    lines = tuple(OrderLine("", "", count, Product("lagurus")) for count in stems)
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        quote = quote_wedding(desk, work, QuoteAsked(due, lines=lines, due_date=due, **more))
        work.save()
    return quote


def places_of(quote: Quote) -> PlacesTold:
    """Where what is asked falls."""
    assert quote.version.places is not None
    return quote.version.places


def taken(desk: Desk, quote: Quote, part: OrderPart, **more: Any) -> Promised:
    """The promise of a part; contracted, unless it says until when it is held."""
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        promised = promise_part(desk, work, quote.order.key, PartStep(part, **more))
        work.save()
    return promised


def stems_of(desk: Desk, quote: Quote) -> list[tuple[int, OrderPart | None]]:
    """The stems of each line of the order, with the part it belongs to."""
    return [(line.stems, line.part) for line in desk.store.farm().order_lines if line.order == quote.order.key]


def test_what_is_there_is_promised_and_what_never_comes_has_no_price(desk: Desk) -> None:
    places = places_of(quoted(desk, 50))

    # 35 lagurus are left over on Friday, whatever the season; a tenth costs 450.
    assert (places.counts.promised, places.counts.sown, places.counts.wished, places.counts.beyond) == (
        (35,),
        (0,),
        (0,),
        (15,),
    )
    assert places.promised is not None and places.promised.price.total_minor == 1575
    assert (places.sown, places.wish) == (None, None)
    assert [(one.name, one.price) for one in places_in_words(places, "EUR")] == [
        ("We promise", "€15.75"),
        ("More than our field gives", ""),
    ]


def test_what_may_all_be_promised_falls_into_one_place(desk: Desk) -> None:
    quote = quoted(desk, 20, 15)

    assert places_of(quote).is_all_promised
    assert quote.version.largest is None


def test_the_list_shows_the_price_of_what_may_be_promised_alone(desk: Desk) -> None:
    some, none = quoted(desk, 50), quoted(desk, 20, due=date(2027, 9, 3))

    prices = {quote.number: quote.total_minor for quote in list_quotes(desk)}

    assert (prices[some.order.key], prices[none.order.key]) == (1575, None)


def test_a_contract_of_all_is_refused_and_says_which_part_may_be_promised(desk: Desk) -> None:
    quote = quoted(desk, 50)

    with pytest.raises(PromiseRefused) as refusal, desk.store.unit_of_work(actor="test", now=NOW) as work:
        contract_quote(desk, work, quote.order.key)

    found = with_a_way_on(refusal.value)
    assert found.facts["parts"] == ["stands"]
    assert found.words.passes[-1] == "What stands today may be held by itself: 35 stems of Bunny tail."
    assert found.words.short not in found.words.passes and found.sentence.count(". ") <= 1


def test_what_stands_today_is_contracted_by_itself_and_nothing_is_kept_for_the_rest(desk: Desk) -> None:
    quote = quoted(desk, 50)

    taken(desk, quote, OrderPart.STANDS)

    assert stems_of(desk, quote) == [(35, OrderPart.STANDS)]
    sheet = show_quote(desk, quote.order.key)
    assert (sheet.status, sheet.version.number, sheet.version.price.total_minor) == ("contracted", 2, 1575)
    with pytest.raises(PartNotOffered, match="no sowing makes a promise of more"):
        taken(desk, quote, OrderPart.SOWN)


def test_a_sowing_makes_a_promise_of_more_until_its_last_day_by_a_re_match(spring: Desk) -> None:
    places = places_of(quoted(spring, 20, due=AUGUST))

    assert places.promised is not None and places.sown is not None
    assert sum((*places.counts.promised, *places.counts.sown)) == 20
    assert places.sown.order_confidence >= 0.8 > places_of(quoted(spring, 20, due=AUGUST)).counts.wished[0]
    assert MAY <= places.sown.yes_by <= places.sown.sow_by
    assert places.sown.price.seed_minor > 0
    assert places.sown.price.total_minor == places.promised.price.total_minor + places.sown.more_minor


def test_the_price_of_each_place_adds_up_and_a_wish_is_in_no_total(spring: Desk) -> None:
    places = places_of(quoted(spring, 1000, due=SEPTEMBER))

    assert places.sown is not None and places.wish is not None
    for price in (places.sown.price, places.promised.price if places.promised else places.sown.price):
        parts = (price.stems_minor, price.spare_minor, price.labour_minor, price.delivery_minor)
        assert sum(parts) + price.seed_minor + price.tax_minor == price.total_minor
    assert places.sown.price.stems_minor == 45 * sum((*places.counts.promised, *places.counts.sown))
    assert places.wish.more_minor == 45 * places.counts.wished[0]
    told = [one.sentence for one in places_in_words(places, "EUR")]
    assert not any("%" in sentence for sentence in told)
    assert any(sentence.endswith("paid only if it comes.") for sentence in told)


def test_the_larger_part_writes_its_sowing_and_the_inner_part_keeps_its_level(spring: Desk) -> None:
    quote = quoted(spring, 10, 10, due=AUGUST)
    taken(spring, quote, OrderPart.STANDS)
    before = {what: sure for what, sure in spring.plan().moment.sure.items() if what.order == quote.order.key}
    follow_floors(spring, "test")
    batches = {batch.key for batch in spring.store.farm().batches}

    promised = taken(spring, quote, OrderPart.SOWN)

    fresh = [batch for batch in spring.store.farm().batches if batch.key not in batches]
    (entry,) = [one for one in spring.store.entries_of("contracted") if one.facts.get("sown")]
    assert [batch.key for batch in fresh] == entry.facts["sown"] and fresh
    assert promised.verdict.joint >= promised.verdict.level == 0.8
    after = spring.plan().moment.sure
    inner = [what for what in before if what.line is not None or what.part is OrderPart.STANDS]
    assert inner and all(after[what].confidence >= min(before[what].confidence, 0.8) - 0.01 for what in inner)
    assert follow_floors(spring, "test") == ()
    parts = [part for _, part in stems_of(spring, quote)]
    assert parts == sorted(parts, key=[OrderPart.STANDS, OrderPart.SOWN].index) and OrderPart.SOWN in parts


def test_the_sowing_is_begun_on_the_day_of_the_yes_where_its_own_is_past(spring: Desk) -> None:
    with spring.store.unit_of_work(actor="test", now=NOW) as work:
        work.put(AtHome("lagurus", Needed.SEED, InHand.AT_HOME, MAY))
        work.save()
    quote = quoted(spring, 20, due=AUGUST)
    sown = places_of(quote).sown
    assert sown is not None
    late = date(2027, 5, 17)
    assert any(one.sow_date < late for one in sown.sowings) and late <= sown.yes_by
    on(spring, late)

    taken(spring, quote, OrderPart.SOWN)

    days = [batch.sow_date for batch in spring.store.farm().batches if batch.key.startswith("extra")]
    assert days and all(day is not None and day >= late for day in days)


def test_after_its_last_day_the_larger_part_is_refused_and_the_smaller_one_is_not(spring: Desk) -> None:
    quote = quoted(spring, 20, due=AUGUST)
    sown = places_of(quote).sown
    assert sown is not None
    on(spring, date.fromordinal(sown.sow_by.toordinal() + 1))

    with pytest.raises(PartNotOffered, match="too late"):
        taken(spring, quote, OrderPart.SOWN)
    assert not show_quote(spring, quote.order.key).may_sow


def test_a_hold_of_both_parts_is_contracted_as_it_stands(spring: Desk) -> None:
    quote = quoted(spring, 20, due=AUGUST)

    taken(spring, quote, OrderPart.SOWN, until=date(2027, 5, 20))
    lines = stems_of(spring, quote)
    with spring.store.unit_of_work(actor="test", now=NOW) as work:
        promised = contract_quote(spring, work, quote.order.key)
        work.save()

    assert promised.order.status is OrderStatus.CONTRACTED
    assert stems_of(spring, quote) == lines
    with pytest.raises(PartNotOffered, match="promised already"):
        taken(spring, quote, OrderPart.SOWN)


def test_batches_begun_later_keep_their_beds(spring: Desk) -> None:
    plan = spring.plan()
    (batch,) = plan.farm.batches

    (later,) = begun_on(plan, [batch], date(2027, 6, 6)) or ()

    assert (later.bed, later.sow_date) == (batch.bed, date(2027, 6, 7))


def taken_back(desk: Desk, quote: Quote) -> None:
    """The larger part taken back."""
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        take_back_part(desk, work, quote.order.key)
        work.save()


def test_the_larger_part_is_taken_back_with_its_sowing_while_nothing_rests_on_it(spring: Desk) -> None:
    quote = quoted(spring, 10, 10, due=AUGUST)
    taken(spring, quote, OrderPart.STANDS)
    before, price = spring.store.farm(), show_quote(spring, quote.order.key).version.price
    taken(spring, quote, OrderPart.SOWN)

    taken_back(spring, quote)

    after = spring.store.farm()
    assert (after.batches, after.order_lines, after.orders) == (before.batches, before.order_lines, before.orders)
    assert show_quote(spring, quote.order.key).version.price == price
    assert follow_floors(spring, "test") == ()
    with pytest.raises(PartNotOffered, match="nothing is sown for it"):
        taken_back(spring, quote)
    # It can be promised once more: taking back is no end.
    assert taken(spring, quote, OrderPart.SOWN).order.status is OrderStatus.CONTRACTED


def test_what_was_promised_of_the_sowing_since_is_named_and_the_sowing_stays(spring: Desk) -> None:
    quote = quoted(spring, 20, due=AUGUST)
    taken(spring, quote, OrderPart.STANDS)
    taken(spring, quote, OrderPart.SOWN)
    other = quoted(spring, 6, due=AUGUST)
    assert places_of(other).is_all_promised
    with spring.store.unit_of_work(actor="test", now=NOW) as work:
        contract_quote(spring, work, other.order.key)
        work.save()
    version = spring.store.version()

    with pytest.raises(PromiseRefused) as refusal:
        taken_back(spring, quote)

    assert [fall.what.order for fall in refusal.value.verdict.falls] == [other.order.key]
    assert spring.store.version() == version


def test_a_sowing_that_is_begun_cannot_be_taken_back(spring: Desk) -> None:
    quote = quoted(spring, 20, due=AUGUST)
    taken(spring, quote, OrderPart.STANDS)
    taken(spring, quote, OrderPart.SOWN)
    (batch, *_) = [batch for batch in spring.store.farm().batches if batch.key.startswith("extra")]
    with spring.store.unit_of_work(actor="test", now=NOW) as work:
        work.put(replace(batch, status=BatchStatus.SOWN))
        work.save()

    with pytest.raises(PartNotOffered, match="not as it was planned"):
        taken_back(spring, quote)

"""Whatever is sent, corrected, taken back and claimed of a list: what is paid and every credit are what was agreed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import date
from itertools import groupby
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulm.errors import HaulmError, NotAccepted, NotFound
from haulm.jobs.bucket_day.after_the_list import Claimed, claims, make_claim
from haulm.jobs.bucket_day.bucket_lines import Choices
from haulm.jobs.bucket_day.confirm_bucket_list import ANY_TAG, Settling
from haulm.jobs.bucket_day.confirmed_lists import CORRECTED, subject_of
from haulm.jobs.bucket_day.correct_list import Reason
from haulm.jobs.bucket_day.list_prices import ListTerms, PricedLine
from haulm.jobs.desk.money_words import money_words
from haulm.jobs.farm.change_rows import RowAsked, change_row
from haulm.paper.confirmed_list import confirmed_list
from haulm.paper.note_prices import note_prices
from haulm.planning.keeping import crops_of
from haulm.store.unit_of_work import UnitOfWork
from support import scale
from support.bucket_days import BucketDay
from support.desks import MONDAY, desk_over, sqlite_store
from support.known_farm import VARIETIES, known_farm

Step = Callable[[BucketDay], object]

TUESDAY = date(2027, 6, 15)
AGREED = {"anna-1": 708, "bram-1": 425}
LINES = st.sampled_from(sorted(AGREED))
STEMS = st.integers(0, 25)


def farm_of(stand_in_minor: int) -> dict[str, bytes]:
    """Anna asks 25 lagurus and Bram 15, or nigella instead; there are 25 and 10 in the store."""
    known = "key,product,ready_date,stems,cut_date\nk1,lagurus,2027-06-14,25,2027-06-14\n"
    orders = "key,customer,weekday,first_week,last_week,committed_on\n"
    orders += "anna-weekly,anna,tue,2027-W24,2027-W25,2027-01-10\nbram-weekly,bram,tue,2027-W24,2027-W25,2027-01-11"
    lines = "key,order,stems,product,substitutes,bunch_price_minor,bunch_stems\n"
    lines += "anna-1,anna-weekly,25,lagurus,nigella,283,10\nbram-1,bram-weekly,15,lagurus,nigella,283,10"
    return known_farm(
        known_stems=f"{known}k3,nigella,2027-06-12,10,2027-06-13\n",
        standing_orders=orders,
        standing_lines=lines,
        varieties=VARIETIES.replace("10,500", f"10,{stand_in_minor}"),
    )


@contextmanager
def bucket_day(stand_in_minor: int) -> Iterator[BucketDay]:
    """A bucket day of that farm."""
    with TemporaryDirectory() as folder:
        store = sqlite_store(Path(folder))
        try:
            yield BucketDay(desk_over(store, farm_of(stand_in_minor), seasons=20))
        finally:
            store.close()


def priced(day: BucketDay) -> dict[str, PricedLine]:
    """What is settled, by line; nothing where all of it was taken back."""
    try:
        return {line.line: line for line in ListTerms(day.desk, MONDAY).lines()}
    except NotFound:
        return {}


def settled(day: BucketDay, line: str, sent: int | None = None) -> None:
    """Settle the delivery of a line with what the store has, or with fewer stems, where they are said."""
    key = (f"{line.partition('-')[0]}-weekly", TUESDAY)
    trimmed = {} if sent is None else {(line, TUESDAY): sent}
    day.confirm(choices=Choices(trimmed=trimmed, no_cut=frozenset({key})), settling=Settling(deliveries={key: ANY_TAG}))


def claimed(day: BucketDay, line: str, stems: int) -> None:
    """A claim that names no credit."""
    said = Claimed(line, TUESDAY, stems, "wilted")
    day.done(lambda work: make_claim(day.desk, work, said))


def price_agreed(day: BucketDay, minor: int) -> None:
    """Another price of Anna's line."""
    asked = RowAsked("standing_lines", {"bunch_price_minor": minor})
    day.done(lambda work: change_row(day.desk, work, "anna-1", asked, expected=None))


STEPS: st.SearchStrategy[Step] = st.one_of(
    st.builds(lambda line, sent: lambda day: settled(day, line, sent), LINES, STEMS),
    st.builds(
        lambda line, to, why: lambda day: day.correct(line, to, reason=why), LINES, STEMS, st.sampled_from(Reason)
    ),
    st.builds(lambda who: lambda day: day.take_back(order=who), st.sampled_from((None, "anna-weekly", "bram-weekly"))),
    st.builds(lambda line, stems: lambda day: claimed(day, line, stems), LINES, STEMS),
)


@given(st.integers(0, 600), st.none() | st.integers(0, 24), st.lists(STEPS, max_size=8), st.lists(STEMS, max_size=2))
@settings(max_examples=scale.count(usual=8, large=300), phases=scale.phases(), deadline=None)
def test_what_is_paid_and_the_credits_are_what_was_agreed(
    stand_in_minor: int, sent: int | None, steps: list[Step], last_claims: list[int]
) -> None:
    with bucket_day(stand_in_minor) as day:
        settled(day, "anna-1", sent)
        for step in steps:
            # A refusal is news: whatever was done, what stands is what was agreed.
            with suppress(HaulmError):
                step(day)
            holds(day)
        for line, found in priced(day).items():
            for stems in (*last_claims, *[1] * found.sent):
                with suppress(NotAccepted):
                    claimed(day, line, stems)
        holds(day)
        assert all(line.price.due_minor == 0 for line in priced(day).values())


def holds(day: BucketDay) -> None:
    """The sums of every settled line, and of each customer's note."""
    found = priced(day)
    credited = {line: [claim for claim in claims(day.desk) if claim.line == line] for line in AGREED}
    for key, line in found.items():
        price = line.price
        assert price.agreed_minor == AGREED[key]
        assert price.due_minor + price.claimed_minor + price.stand_in_minor + price.short_minor == AGREED[key]
        assert price.claimed_minor == sum(claim.credit_minor for claim in credited[key]) <= price.sent_minor
        assert min(price.due_minor, price.short_minor, price.stand_in_minor) >= 0
        assert line.sent == sent_by_the_books(day, key)
    assert found.keys() >= {line for line, made in credited.items() if made}
    for customer, lines in groupby(found.values(), key=lambda line: line.customer):
        check_note(day, customer, list(lines))


def sent_by_the_books(day: BucketDay, line: str) -> int:
    """The stems of a line's promise as it stands."""
    return day.desk.store.promises(line=line)[-1].stems


def check_note(day: BucketDay, customer: str, lines: list[PricedLine]) -> None:
    """The note of a customer has the same sums."""
    (packed,) = (one for one in confirmed_list(day.desk, MONDAY) if one.customer == customer)
    farm = day.desk.store.farm()
    note = note_prices(ListTerms(day.desk, MONDAY), packed.lines, crops_of(farm), farm.site.currency)
    words = [money_words(sum(minor), farm.site.currency) for minor in zip(*map(_sums, lines), strict=True)]
    assert [note.together, note.to_pay or note.together, note.agreed or words[2]] == words


def _sums(line: PricedLine) -> tuple[int, int, int]:
    return line.price.sent_minor, line.price.due_minor, line.price.agreed_minor


def test_a_price_agreed_after_a_delivery_was_settled_counts_from_the_next_on() -> None:
    with bucket_day(500) as day:
        settled(day, "anna-1")
        price_agreed(day, 400)

        assert priced(day)["anna-1"].price.agreed_minor == 708


def test_what_is_taken_back_costs_nothing_and_settled_again_it_has_the_terms_of_that_day() -> None:
    with bucket_day(500) as day:
        settled(day, "anna-1")
        settled(day, "bram-1")
        day.take_back(order="anna-weekly")
        price_agreed(day, 400)
        assert priced(day).keys() == {"bram-1"}

        settled(day, "anna-1")
        assert {key: line.price.agreed_minor for key, line in priced(day).items()} == {"anna-1": 1000, "bram-1": 425}


def test_a_correction_up_with_a_cheaper_stand_in_is_charged_at_its_price_of_the_day_it_was_settled() -> None:
    with bucket_day(200) as day:
        settled(day, "anna-1", 20)
        settled(day, "bram-1", 0)
        change = RowAsked("varieties", {"price_minor": 100})
        day.done(lambda work: change_row(day.desk, work, "nigella", change, expected=None))
        day.correct("bram-1", 15, reason="more")

        # 5 lagurus at 28.3 and 10 nigella at 20: 341.5, of 424.5.
        price = priced(day)["bram-1"].price
        assert (price.sent_minor, price.short_minor, price.stand_in_minor) == (342, 0, 83)

        day.correct("bram-1", 5)
        price = priced(day)["bram-1"].price
        assert (price.sent_minor, price.short_minor, price.stand_in_minor) == (142, 283, 0)


def test_what_was_claimed_has_left_and_is_neither_corrected_nor_taken_back() -> None:
    with bucket_day(500) as day:
        settled(day, "anna-1")
        settled(day, "bram-1")
        claimed(day, "anna-1", 5)

        with pytest.raises(NotAccepted, match="a claim"):
            day.correct("anna-1", 10)
        with pytest.raises(NotAccepted, match="have left"):
            day.take_back()
        assert day.take_back(order="bram-weekly") > 0


def test_a_list_of_an_earlier_release_has_the_prices_of_now_and_what_its_correction_left() -> None:
    with bucket_day(500) as day:
        day.confirm_as_before({"anna-1": 25})

        def corrected(work: UnitOfWork) -> None:
            facts = {"line": "anna-1", "due": TUESDAY.isoformat(), "stems": 10, "was": 25, "reason": "broke"}
            work.enter(CORRECTED, subject_of(MONDAY), {**facts, "customer": "anna"})

        day.done(corrected)

        # The list of that release asked 60 for her.
        line = priced(day)["anna-1"]
        assert (line.sent, line.price.sent_minor, line.price.agreed_minor) == (10, 283, 1698)

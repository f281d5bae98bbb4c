"""Whatever is sent, corrected and claimed of a confirmed list: what is paid and every credit are what was agreed."""

from __future__ import annotations

from contextlib import suppress
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from haulm.errors import NotAccepted
from haulm.jobs.after_the_list import Correction, claims, make_claim
from haulm.jobs.bucket_lines import Choices
from haulm.jobs.change_rows import RowAsked, change_row
from haulm.jobs.list_prices import ListTerms, PricedLine
from support import scale
from support.bucket_days import BucketDay
from support.desks import MONDAY, desk_over, sqlite_store
from support.known_farm import VARIETIES, known_farm

TUESDAY = date(2027, 6, 15)


def farm_of(stand_in_minor: int) -> dict[str, bytes]:
    """Anna asks 25 lagurus, or nigella instead; there are 15 and 10."""
    known = "key,product,ready_date,stems,cut_date\nk1,lagurus,2027-06-14,15,\nk3,nigella,2027-06-12,10,2027-06-13\n"
    columns = "key,order,stems,product,substitutes,bunch_price_minor,bunch_stems"
    lines = f"{columns}\nanna-1,anna-weekly,25,lagurus,nigella,283,10"
    varieties = VARIETIES.replace("10,500", f"10,{stand_in_minor}")
    return known_farm(known_stems=known, standing_lines=lines, varieties=varieties)


def priced(day: BucketDay) -> PricedLine:
    (line,) = ListTerms(day.desk, MONDAY).lines()
    return line


@given(
    st.integers(0, 600), st.integers(0, 25), st.none() | st.integers(0, 24), st.lists(st.integers(1, 25), max_size=4)
)
@settings(max_examples=scale.count(usual=5, large=200), phases=scale.phases())
def test_what_is_paid_and_the_credits_are_what_was_agreed(
    stand_in_minor: int, sent: int, corrected: int | None, claimed: list[int]
) -> None:
    with TemporaryDirectory() as folder:
        store = sqlite_store(Path(folder))
        try:
            day = BucketDay(desk_over(store, farm_of(stand_in_minor), seasons=20))
            day.confirm(choices=Choices(trimmed={("anna-1", TUESDAY): sent}))
            if corrected is not None and corrected < sent:
                day.correct("anna-1", corrected)
            for stems in (*claimed, 1):
                said = Correction("anna-1", TUESDAY, stems, "wilted")
                with suppress(NotAccepted):
                    day.done(lambda work, said=said: make_claim(day.desk, work, said))  # type: ignore[misc]
            _holds(day)
        finally:
            store.close()


def _holds(day: BucketDay) -> None:
    line, credited = priced(day), claims(day.desk)
    price = line.price
    assert price.agreed_minor == 708
    assert price.due_minor + price.claimed_minor + price.stand_in_minor + price.short_minor == price.agreed_minor
    assert price.claimed_minor == sum(claim.credit_minor for claim in credited) <= price.sent_minor
    if sum(claim.stems for claim in credited) == line.sent:
        assert price.due_minor == 0
    assert min(price.due_minor, price.short_minor, price.stand_in_minor) >= 0


def test_a_price_agreed_after_a_list_was_confirmed_counts_from_the_next_list_on() -> None:
    with TemporaryDirectory() as folder:
        store = sqlite_store(Path(folder))
        day = BucketDay(desk_over(store, farm_of(500), seasons=20))
        day.confirm()
        asked = RowAsked("standing_lines", {"bunch_price_minor": 400})
        day.done(lambda work: change_row(day.desk, work, "anna-1", asked, expected=None))

        assert priced(day).price.agreed_minor == 708
        store.close()

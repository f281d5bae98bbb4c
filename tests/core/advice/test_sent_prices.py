"""What went out costs what was agreed, less credits that have a name: to the unit, however it is split."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.pricing import BunchPrice, line_price
from haulm.advice.sent_prices import SentPrice, SentStems, Terms, credit_for, sent_price

BUNCHES = st.builds(BunchPrice, st.integers(0, 5000), st.integers(1, 25))
TERMS = st.builds(Terms, st.integers(1, 300), st.integers(0, 40), BUNCHES, st.none() | st.integers(0, 90_000))
OWN = st.none() | st.fractions(0, 900, max_denominator=25)


@st.composite
def deliveries(draw: st.DrawFn) -> tuple[Terms, tuple[SentStems, ...]]:
    """Terms, and any split of at most the stems agreed into parts, some of them stand-ins."""
    terms = draw(TERMS)
    left, parts = terms.stems + terms.spare, []
    for own in draw(st.lists(OWN, max_size=5)):
        parts.append(SentStems(draw(st.integers(0, left)), own))
        left -= parts[-1].stems
    return terms, tuple(parts)


def stems_of(parts: tuple[SentStems, ...]) -> int:
    return sum(part.stems for part in parts)


@given(deliveries())
def test_the_note_and_its_credits_are_what_was_agreed(made: tuple[Terms, tuple[SentStems, ...]]) -> None:
    found = sent_price(*made)

    assert found.sent_minor + found.short_minor + found.stand_in_minor == made[0].agreed_minor
    assert min(found.short_minor, found.stand_in_minor, *found.parts_minor, 0) == 0


@given(deliveries())
def test_what_went_out_never_costs_more_than_the_same_stems_as_agreed(
    made: tuple[Terms, tuple[SentStems, ...]],
) -> None:
    terms, parts = made
    as_asked = sent_price(terms, [SentStems(part.stems) for part in parts])

    assert sent_price(terms, parts).sent_minor <= as_asked.sent_minor <= terms.agreed_minor
    assert as_asked.stand_in_minor == 0


@given(TERMS)
def test_all_of_it_costs_what_was_agreed_to_the_unit(terms: Terms) -> None:
    found = sent_price(terms, [SentStems(terms.stems), SentStems(terms.spare)])

    assert (found.sent_minor, found.short_minor, found.stand_in_minor) == (terms.agreed_minor, 0, 0)


@given(TERMS.filter(lambda terms: terms.whole_minor is None))
def test_the_agreed_price_is_that_of_the_quotes_line(terms: Terms) -> None:
    assert terms.agreed_minor == line_price(terms.stems, terms.spare, terms.bunch.stem).total_minor


@given(deliveries(), st.randoms(use_true_random=False))
def test_the_order_of_the_parts_does_not_change_the_sum(
    made: tuple[Terms, tuple[SentStems, ...]], dice: st.DataObject
) -> None:
    terms, parts = made
    other = sorted(parts, key=lambda _: dice.random())  # type: ignore[attr-defined]

    assert sent_price(terms, other).sent_minor == sent_price(terms, parts).sent_minor


@given(deliveries(), st.lists(st.integers(1, 60), max_size=6))
def test_claims_one_after_the_other_credit_the_stems_price_and_all_of_them_all_of_it(
    made: tuple[Terms, tuple[SentStems, ...]], asked: list[int]
) -> None:
    sent, price = stems_of(made[1]), sent_price(*made)
    claimed, credits = 0, 0
    for stems in [*asked, sent]:
        now = min(stems, sent - claimed)
        credit = credit_for(price.sent_minor, sent, now, claimed=claimed)
        assert credit >= 0
        claimed, credits = claimed + now, credits + credit

    left = sent_price(*made, claimed_minor=credits)
    assert (credits, left.due_minor) == (price.sent_minor, 0)
    assert left.due_minor + credits + left.short_minor + left.stand_in_minor == left.agreed_minor


def test_a_dearer_stand_in_costs_what_was_asked_and_a_cheaper_one_its_own() -> None:
    terms = Terms(20, 0, BunchPrice(800, 10))  # 0.80 a stem

    dearer = sent_price(terms, [SentStems(15), SentStems(5, Fraction(95))])
    cheaper = sent_price(terms, [SentStems(15), SentStems(5, Fraction(55))])

    assert dearer == SentPrice(1600, (1200, 400), 0, 0)
    assert cheaper == SentPrice(1600, (1200, 275), 0, 125)


def test_short_stems_of_one_price_for_the_whole_line_are_credited_their_part() -> None:
    # 62.50 for 25 and 5 spare; 24 of these 30 came.
    found = sent_price(Terms(25, 5, BunchPrice(0, 1), 6250), [SentStems(24)])

    assert (found.parts_minor, found.short_minor) == ((5000,), 1250)


def test_halves_are_rounded_up_once_a_line() -> None:
    # 3 stems at 0.045: three times 4.5 is 13.5, up to 14; its parts add up to it.
    found = sent_price(Terms(3, 0, BunchPrice(45, 10)), [SentStems(1), SentStems(1), SentStems(1)])

    assert found.parts_minor == (5, 4, 5)


def test_stems_beyond_what_was_agreed_cost_nothing() -> None:
    assert sent_price(Terms(10, 0, BunchPrice(100, 10)), [SentStems(12)]).sent_minor == 100


def test_nothing_sent_is_credited_whole_and_nothing_of_it_can_be_claimed() -> None:
    found = sent_price(Terms(10, 0, BunchPrice(100, 10)), [])

    assert (found.sent_minor, found.short_minor, credit_for(found.sent_minor, 0, 0)) == (0, 100, 0)

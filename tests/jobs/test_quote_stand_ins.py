"""Named kinds first, agreed stand-ins after: laws on small random farms, and which products stand in."""

import random
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from haulm.farm.orders import OrderLine
from haulm.farm.products import Choice, Product
from haulm.farm.varieties import Stage
from haulm.farm.words import Form, Role
from haulm.jobs.quotes.draft import StandInsAgreed, draft_of_lines, products_of, with_stand_ins
from support.forecast_builders import crop
from support.small_quotes import MOST_STEMS, SmallQuote, small_quote

SEEDS = st.integers(0, 10**9)
CROPS = {
    one.key: one
    for one in (
        crop(key="ammi", role=Role.FILLER, colour="white"),
        crop(key="carrot", role=Role.FILLER, colour="burgundy"),
        crop(key="hare", role=Role.FILLER, colour="green"),
        crop(key="cream_ammi", role=Role.FILLER, colour="cream"),
        crop(key="zinnia", role=Role.FOCAL, colour="white"),
        crop(key="scabious", role=Role.SECONDARY, colour="white"),
        crop(key="nigella", role=Role.ACCENT, colour="white", stages=(Stage("young", "white", 0, 3),)),
        crop(key="cornflower", role=Role.ACCENT, colour="blue"),
    )
}


def quote_of(seed: int, *, plain: bool = False) -> SmallQuote:
    return small_quote(random.Random(seed), plain=plain)


@given(SEEDS)
def test_no_line_gets_fewer_stems_in_any_season_for_stand_ins_and_nor_do_all_together(seed: int) -> None:
    quote = quote_of(seed)
    by_name, by_role = (quote.draft(stand_ins=let_in) for let_in in (False, True))

    for less, more in zip(quote.given(by_name), quote.given(by_role), strict=True):
        assert (more >= less).all()
    assert (together(quote.filled(by_role)) >= together(quote.filled(by_name))).all()


@given(SEEDS)
def test_fewer_stems_of_one_line_are_never_less_sure_than_more(seed: int) -> None:
    quote = quote_of(seed)
    place = seed % len(quote.lines)

    before = np.ones(1, np.bool_)
    for stems in range(1, MOST_STEMS + 2):
        # Alone in its order, since with others a choice may have to keep its limit.
        lines = [replace(quote.lines[place], stems=stems)]
        (now,) = quote.filled(quote.draft(lines, stand_ins=True))
        assert (now <= before).all()
        before = now


@given(SEEDS)
def test_an_order_of_kinds_or_of_roles_is_never_less_sure_for_fewer_stems_of_a_line(seed: int) -> None:
    # Of one stage, and not kinds beside roles: kinds that are named move the order in which a role takes its own.
    quote = quote_of(seed, plain=True)
    place = seed % len(quote.lines)

    before = np.ones(1, np.bool_)
    for stems in range(1, MOST_STEMS + 2):
        sized = replace(quote.lines[place], stems=stems)
        sized = replace(sized, max_each=None if sized.choice is None else stems)
        lines = [*quote.lines[:place], sized, *quote.lines[place + 1 :]]
        now = together(quote.filled(quote.draft(lines, stand_ins=True)))
        assert (now <= before).all()
        before = now


@given(SEEDS)
def test_what_a_line_served_later_asks_what_is_refused_and_what_may_not_stand_in_never_does(seed: int) -> None:
    quote = quote_of(seed)
    draft = quote.draft(stand_ins=True)

    for place, (asked, line) in enumerate(zip(quote.lines, draft.order_lines, strict=True)):
        more = line.substitutes[len(asked.substitutes) :]
        assert line.substitutes[: len(asked.substitutes)] == asked.substitutes
        later = [product for other in quote.lines[place + 1 :] for product in products_of(other, quote.crops)]
        assert not {*more} & {*later, *products_of(asked, quote.crops)}
        assert not {product.variety for product in more} & {*quote.order.unacceptable}
        assert not (asked.no_substitute and more)


def test_the_random_quotes_are_made_surer_by_stand_ins_now_and_then() -> None:
    surer = 0
    for seed in range(200):
        quote = quote_of(seed)
        names, roles = (together(quote.filled(quote.draft(stand_ins=let_in))) for let_in in (False, True))
        surer += bool((roles > names).any())

    assert surer >= 10


def test_for_a_named_kind_its_role_in_the_palette_stands_in_its_own_colour_first() -> None:
    assert stand_ins("ammi", palette=("white", "burgundy")) == ["carrot", "hare"]
    assert stand_ins("ammi", palette=("cream", "burgundy")) == ["cream_ammi", "carrot", "hare"]
    assert stand_ins("ammi", palette=()) == ["cream_ammi", "carrot", "hare"]
    assert stand_ins("cornflower", palette=("white",)) == ["nigella"]


def test_without_a_palette_the_colours_of_what_is_asked_are_it() -> None:
    lines = [named("ammi"), named("cornflower")]

    # White alone does not stand for cream; blue is not a filler's here, green goes with all of them.
    assert [[str(product) for product in line.substitutes] for line in agreed(lines)] == [["hare"], ["nigella"]]


def test_for_a_role_its_neighbours_stand_in_nearest_first_and_one_kind_may_be_all_of_it() -> None:
    (line,) = agreed([OrderLine("", "", 10, choice=Choice((Role.ACCENT,), ("white",)))])

    assert ([str(product) for product in line.substitutes], line.max_each) == (["scabious", "ammi"], 10)


def test_a_kind_barred_from_a_role_is_no_stand_in_either() -> None:
    (line,) = agreed([OrderLine("", "", 10, choice=Choice((Role.ACCENT,), ("white",), barred=("ammi",)))])

    assert line.substitutes == (Product("scabious"),)


def test_what_a_line_served_before_asks_comes_last_and_a_later_ones_not_at_all() -> None:
    first, second, _ = agreed([named("carrot"), named("cream_ammi"), named("hare")], palette=())

    assert [str(product) for product in first.substitutes] == ["ammi"]
    assert [str(product) for product in second.substitutes] == ["ammi", "carrot"]


def test_a_choice_keeps_its_limit_where_a_later_line_would_miss_what_it_took() -> None:
    white = Choice((Role.FILLER,), ("white",))

    assert [line.max_each for line in agreed([OrderLine("", "", 10, choice=white), named("ammi")])] == [None, None]
    assert [line.max_each for line in agreed([named("ammi"), OrderLine("", "", 10, choice=white)])] == [None, 10]


def test_a_kind_without_the_stage_asked_is_no_stand_in() -> None:
    (line,) = agreed([named("cornflower", stage="young")], palette=("white", "blue"))
    assert line.substitutes == (Product("nigella"),)
    (line,) = agreed([named("nigella", stage="young")], palette=("white", "blue"))
    assert line.substitutes == ()


def test_dried_stems_stand_in_only_where_they_are_accepted() -> None:
    draft = draft_of_lines([named("cornflower")], "q")
    (line,) = with_stand_ins(draft, CROPS, StandInsAgreed(("white",), dried_ok=True)).order_lines

    assert line.substitutes == (Product("nigella"), Product("nigella", Form.DRIED))


def together(filled: Sequence[np.ndarray]) -> np.ndarray:  # type: ignore[type-arg]
    """The seasons in which all lines are filled."""
    return np.logical_and.reduce(filled)


def named(key: str, **changes: object) -> OrderLine:
    return replace(OrderLine("", "", 10, Product(key)), **changes)  # type: ignore[arg-type]


def agreed(lines: list[OrderLine], palette: tuple[str, ...] | None = None) -> tuple[OrderLine, ...]:
    return with_stand_ins(draft_of_lines(lines, "q"), CROPS, StandInsAgreed(palette)).order_lines


def stand_ins(key: str, palette: tuple[str, ...]) -> list[str]:
    (line,) = agreed([named(key)], palette=palette)
    return [str(product) for product in line.substitutes]

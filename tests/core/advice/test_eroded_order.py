"""An order promised as a whole is not worn away by promises that each leave its lines at their level.

Two thousand even seasons. The order asks ten ammi and ten mint, and is filled in 81.75 % of them; each later wedding
takes five of one kind. After the first it would be whole in 73.35 %, after both in 65.95 %, each line above 80 % still.
"""

from __future__ import annotations

import pytest

from haulm.advice.acceptance import NewPromise, Verdict, verdict
from haulm.advice.floors import Floors, Guarded
from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.words import LineClass
from haulm.matching.allocation.match import match
from haulm.matching.allocation.result import MatchResult
from haulm.matching.supply import Supply
from support import moments
from support.promise_judge import Asked, Book, Standing, ruling
from support.promise_match import Ground
from support.small_match import AMMI, day, kept, line, rules, standing, supply

SEASONS, LEVEL, DUE = 2000, 0.8, 2
MINT = Product("mint")
DELIVERY = Guarded("order", day(DUE))
KEEPING = rules({AMMI: kept(), MINT: kept()})


def field_of_both() -> Supply:
    """Ammi too few for ten in 165 seasons, and for five beside them in 168 others; mint in 200 and 148 others."""
    ammi = [9] * 165 + [12] * 168 + [20] * (SEASONS - 333)
    mint = [20] * 333 + [9] * 200 + [12] * 148 + [20] * (SEASONS - 681)
    return supply(standing({0: ammi}), standing({0: mint}, MINT), weights=(1 / SEASONS,) * SEASONS)


FIELD = field_of_both()
ORDER = tuple(
    line(key, DUE, 10, wanted=LineClass.ONE_OFF, order="order", product=product, promised_confidence=LEVEL)
    for key, product in (("o-ammi", AMMI), ("o-mint", MINT))
)


def wedding(order: str, product: Product) -> DatedLine:
    """Five stems, before the order in the strict order."""
    return line(f"{order}-1", DUE, 5, wanted=LineClass.WEDDING, order=order, product=product, promised_confidence=LEVEL)


FIRST, SECOND = wedding("first", AMMI), wedding("second", MINT)


def matched(*weddings: DatedLine) -> MatchResult:
    return match((*ORDER, *weddings), FIELD, KEEPING)


def judged(before: MatchResult, after: MatchResult, order: str) -> Verdict:
    return verdict(moments.moment_of(before), moments.moment_of(after), NewPromise(order, LEVEL, 1.0), Floors())


def test_the_wedding_that_would_wear_away_the_order_is_refused_and_names_its_delivery() -> None:
    found = judged(matched(), matched(FIRST), "first")

    (fall,) = found.falls
    assert not found.accepted and found.is_sure
    assert (fall.what, fall.line, fall.lines) == (DELIVERY, None, ORDER)
    assert (fall.before, fall.after, fall.floor) == pytest.approx((0.8175, 0.7335, 0.8))


def test_so_is_the_second_were_the_first_made_all_the_same() -> None:
    (fall,) = judged(matched(FIRST), matched(FIRST, SECOND), "second").falls

    assert fall.what == DELIVERY
    assert (fall.before, fall.after, fall.floor) == pytest.approx((0.7335, 0.6595, 0.7335))


def test_line_by_line_both_would_have_been_accepted(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = moments.sureness
    monkeypatch.setattr(
        moments, "sureness", lambda *asked: {what: sure for what, sure in whole(*asked).items() if what.line}
    )

    assert judged(matched(), matched(FIRST), "first").accepted
    assert judged(matched(FIRST), matched(FIRST, SECOND), "second").accepted


def test_the_judge_says_the_same() -> None:
    ground, book = Ground(FIELD, KEEPING), Book()
    before, after = Standing(ground, ORDER), Standing(ground, (*ORDER, FIRST))
    book.moved(before)

    right = ruling(before, after, Asked("first", LEVEL), book)
    assert list(right.falls) == [("order", day(DUE), None)] and right.is_sure

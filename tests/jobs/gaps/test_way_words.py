"""Ways to close a gap, in words: short, with counts of customers and never a name, and names only where asked whose."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from haulm.advice.options.option import Option, Proof
from haulm.farm.products import Product
from haulm.farm.weeks import Week
from haulm.farm.words import Method
from haulm.jobs.gaps.way_words import (
    Missed,
    ShortWay,
    brief_way,
    briefly_for,
    missed_in_words,
    short_way,
    way_in_words,
    what_it_does,
    whose_in_words,
)
from haulm.jobs.growing.short_jobs import Sort
from support.advice_builders import dated_line, one_gap
from support.farms import batch, customer
from support.planned_farms import TODAY, growing_farm, planned

PLAN = planned(growing_farm(customers=(customer(), customer("ben", name="Quillbeck"))), seasons=8)
COSMOS = PLAN.crops["cosmos_white"].name
DUE = date(2027, 7, 29)
LINES = (
    dated_line("one", due=DUE, product=Product("cosmos_white")),
    dated_line("two", due=DUE, product=Product("cosmos_white"), customer="ben"),
)
GAP = one_gap(LINES)
SOON = date(2027, 5, 10)
SOWN = batch("extra", variety="cosmos_white", bed="south", trays=Decimal(1))


def way(kind: str = "succession", *, sentence: str = "Do it: at once.", **changes: object) -> Option:
    plain = Option(kind, sentence, SOON, Proof((0.5, 0.5), 10.0), None, closes=True)
    return replace(plain, **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("method", "trays", "said"),
    [
        (Method.COVER, Decimal(1), f"sow one tray of {COSMOS} under cover, in South bed"),
        (Method.HEATED, Decimal("0.5"), f"sow half a tray of {COSMOS} with heat, in South bed"),
        (Method.COVER, Decimal("4.5"), f"sow 4.5 trays of {COSMOS} under cover, in South bed"),
        (Method.DIRECT, None, f"sow 100 places of {COSMOS} where they stay, in South bed"),
        (Method.PLUGS, None, f"plant 100 bought plugs of {COSMOS}, in South bed"),
    ],
)
def test_a_sowing_says_how_much_how_and_where(method: Method, trays: Decimal | None, said: str) -> None:
    sown = replace(SOWN, method=method, trays=trays)

    assert way_in_words(PLAN, GAP, way(batches=(sown,))) == said


def test_what_is_to_be_ordered_first_is_said_as_an_order_until_it_is_at_home() -> None:
    ordered = way(batches=(SOWN,), order_by=TODAY, sow_by=SOON)

    said = f"order seed of {COSMOS} for one tray, to sow under cover by Mon 10 May 2027"
    assert (way_in_words(PLAN, GAP, ordered), brief_way(PLAN, GAP, ordered)) == (said, f"order seed of {COSMOS}")
    at_home = replace(ordered, at_home=True)
    assert way_in_words(PLAN, GAP, at_home) == f"sow one tray of {COSMOS} under cover, in South bed"
    assert brief_way(PLAN, GAP, at_home) == f"sow {COSMOS}"
    assert brief_way(PLAN, GAP, way(batches=(replace(SOWN, method=Method.PLUGS),))) == f"plant {COSMOS}"


def test_customers_are_counted_and_not_named() -> None:
    assert way_in_words(PLAN, GAP, way("substitute")) == f"offer 2 customers something else for {COSMOS}"
    assert way_in_words(PLAN, GAP, way("swap", lines=LINES[1:])) == f"ask a customer for a swap that gives {COSMOS}"
    assert way_in_words(PLAN, GAP, way("made_up", lines=LINES)) == f"ask 2 customers about {COSMOS}"
    assert way_in_words(PLAN, GAP, way("fleece", sentence="Cover the bed: tonight.")) == "cover the bed"


@pytest.mark.parametrize(
    ("option", "sort", "job"),
    [
        (way(batches=(SOWN,)), Sort.SOW, f"sow {{}}, {COSMOS}, one tray"),
        (
            way(batches=(SOWN, replace(SOWN, key="b", trays=None))),
            Sort.SOW,
            f"sow {{}}, {COSMOS}, one tray and 100 places",
        ),
        (
            way(batches=(replace(SOWN, method=Method.PLUGS, trays=None),)),
            Sort.PLANT,
            f"plant {{}}, {COSMOS}, 100 places",
        ),
        (way(batches=(SOWN,), order_by=TODAY), Sort.ORDER, f"order seed of {{}}, {COSMOS}, one tray"),
        (way("buy_in"), Sort.ASK, f"ask another grower for {{}}, {COSMOS}, 10 stems"),
        (way("tell"), Sort.ASK, f"tell 2 customers that {{}} may be short, and offer something else, {COSMOS}, "),
        (way("fleece", sentence="Cover the bed: tonight."), Sort.FIELD, "cover the bed {}, , "),
    ],
)
def test_a_way_in_few_words_is_of_its_sort_and_the_same_after_it_was_kept(option: Option, sort: Sort, job: str) -> None:
    found = short_way(PLAN, GAP, option)

    assert found.sort is sort
    assert f"{found.does}, {found.name}, {found.amount}" == job
    assert ShortWay.of(found.facts()) == found


def test_a_job_says_how_much_and_what_it_does() -> None:
    found = short_way(PLAN, GAP, way(batches=(SOWN,))).job(SOON, "for week 30")

    assert (found.day, found.what, found.name) == (SOON, f"{COSMOS} (one tray, for week 30)", COSMOS)


WEEKS = (Week(2027, 30), Week(2027, 31))


def test_what_a_way_closes_is_named_once_and_a_part_of_it_is_a_part() -> None:
    assert what_it_does([(COSMOS, WEEKS, 1.0)], f"sow {COSMOS}") == "closes weeks 30 to 31"
    assert what_it_does([(COSMOS, WEEKS, 0.5), ("Zinnia", WEEKS[:1], 1.0)], "sow something") == (
        f"closes half of {COSMOS}, weeks 30 to 31 and Zinnia, week 30"
    )


def test_few_words_name_what_is_asked_only_where_something_else_is_sown_and_count_the_others() -> None:
    own, filler = (COSMOS, WEEKS, 1.0), ("white filler", WEEKS[:1], 0.5)
    assert briefly_for([own], name=COSMOS) == "weeks 30 to 31"
    assert briefly_for([filler], name=COSMOS) == "for half of white filler, week 30"
    assert briefly_for([(COSMOS, WEEKS, 0.0)], name=COSMOS) == "weeks 30 to 31"


def test_another_gap_that_it_closes_is_named_and_more_are_counted() -> None:
    own, filler = (COSMOS, WEEKS, 1.0), ("white filler", WEEKS[:1], 0.5)
    said = "weeks 30 to 31, and for half of white filler, week 30"
    assert briefly_for([own, filler], name=COSMOS) == said
    assert briefly_for([own, filler, filler], name=COSMOS) == f"{said}, and one other gap"
    assert briefly_for([own, *[filler] * 12], name=COSMOS) == f"{said}, and 11 other gaps"


def test_whom_a_way_is_for_is_said_by_name() -> None:
    assert whose_in_words(PLAN, [(GAP, 1.0)]) == "Anna week 30 and Quillbeck week 30"
    assert whose_in_words(PLAN, [(GAP, 0.5)]) == "half of Anna week 30 and half of Quillbeck week 30"


def test_a_day_that_has_passed_says_what_is_left_and_how_much_of_it() -> None:
    missed = Missed("sow one tray", "sow Zinnia", date(2027, 3, 8))

    start = "The day to sow Zinnia passed on Mon 8 Mar 2027"
    assert missed_in_words(missed, "sow one tray", SOON, 1.0) == f"{start}: do it by Mon 10 May 2027."
    left = f"{start}; by Mon 10 May 2027 you can still buy plugs"
    assert missed_in_words(missed, "buy plugs", SOON, 1.0) == f"{left}, which closes it."
    assert missed_in_words(missed, "buy plugs", SOON, 0.5) == f"{left}, which closes half of it."
    assert missed_in_words(missed, "buy plugs", SOON, 0.0) == f"{left}."

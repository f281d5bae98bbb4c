"""What an option costs for what it gives: only what there is of it is said, and what is too dear says so."""

from dataclasses import replace

from haulm.advice.options.option import Option, Proof, Worth
from haulm.jobs.gaps.worth_words import worth_in_words
from support.advice_builders import TODAY

CHEAP = Worth(1250, 0, 0, missing_stems=40, gained_stems=30, gained_minor=2000, surplus_stems=0, surplus_minor=0)
OPTION = Option("succession", "sow", TODAY, Proof((0.5,), 40.0), None, closes=True, worth=CHEAP)


def said(**changes: int) -> str:
    return worth_in_words(replace(OPTION, worth=replace(CHEAP, **changes)), "EUR")


def test_only_what_it_takes_is_said() -> None:
    assert said() == "Costs about €12.50."
    assert said(spent_minor=0, place_minor=300) == "Takes bed and bench worth €3.00."
    assert said(spent_minor=0, work_minor=450, surplus_stems=12, surplus_minor=600) == (
        "Hours of €4.50; leaves about 12 stems, which may bring €6.00."
    )


def test_what_costs_more_than_broken_promises_do_says_what_they_are_sold_for() -> None:
    # A broken promise costs three times what its stems are sold for.
    assert said(spent_minor=6000) == "Costs about €60.00."
    assert said(spent_minor=6001).endswith("costs more than the promises it keeps, which are sold for €20.00.")


def test_what_is_dear_and_less_than_buying_in_says_what_that_would_cost() -> None:
    assert said(spent_minor=6001, bought_minor=6500).endswith(
        "which are sold for €20.00; as many stems bought in would cost €65.00."
    )
    assert "bought in" not in said(spent_minor=6001, bought_minor=6001) + said(spent_minor=300, bought_minor=6500)


def test_nothing_is_said_where_nobody_can_say_or_it_costs_nothing() -> None:
    assert worth_in_words(replace(OPTION, worth=None), "EUR") == said(spent_minor=0) == ""

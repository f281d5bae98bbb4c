"""What the last letter told is kept as it was, known again by the name it was told under, and said to be closed."""

from dataclasses import replace
from datetime import date

from haulm.farm.weeks import Week
from haulm.jobs.gaps.standing_gaps import DatedGap
from haulm.jobs.warning.told_gaps import ToldGap, ToldLetter, closed_words, told_before
from support.advice_builders import dated_line, one_gap

GAP = one_gap([dated_line()])
FOUND = DatedGap(GAP, GAP)
FIRST, LAST, NOW = Week(2027, 27), Week(2027, 29), Week(2027, 26)
TOLD = ToldGap(0.5, "Zinnia", FIRST, LAST, False, date(2027, 5, 10), "sow zinnia", True, "The day passed.")


def letter(**gaps: ToldGap) -> ToldLetter:
    facts = {name.replace("_", "-"): gap.facts() for name, gap in gaps.items()}
    return ToldLetter.of({"day": "2027-05-03", "version": 7, "gaps": facts, "counted": {}, "tokens": ["t"]})


def test_a_letter_is_read_as_it_was_kept() -> None:
    found = letter(a=TOLD, b=replace(TOLD, day=None))

    assert found == ToldLetter(date(2027, 5, 3), 7, {"a": TOLD, "b": replace(TOLD, day=None)}, {}, frozenset({"t"}))


def test_a_letter_of_an_older_program_says_no_day_no_way_and_no_version() -> None:
    kept = {"day": "2027-05-03", "gaps": {"a": TOLD.facts()[:5]}, "counted": {}}

    assert ToldLetter.of(kept) == ToldLetter(date(2027, 5, 3), None, {"a": ToldGap(0.5, "Zinnia", FIRST, LAST, False)})


def test_a_gap_is_known_by_its_name_or_by_that_of_one_it_has_swallowed() -> None:
    merged = replace(FOUND, merged=("earlier", "other"))

    assert told_before(FOUND, {GAP.key: TOLD}) == GAP.key
    assert told_before(merged, {"other": TOLD}) == "other"
    assert told_before(merged, {"other": TOLD, GAP.key: TOLD}) == GAP.key
    assert told_before(FOUND, {"other": TOLD}) is None


def test_what_stands_no_more_and_lies_ahead_is_closed_and_said_once() -> None:
    told = letter(gone=TOLD, twice=TOLD, one_week=replace(TOLD, words="Ammi", last=FIRST))

    assert closed_words(told, [FOUND], NOW) == ("Zinnia, weeks 27 to 29", "Ammi, week 27")


def test_what_stands_was_swallowed_or_is_over_is_not_closed() -> None:
    told = ToldLetter(gaps={GAP.key: TOLD, "swallowed": TOLD, "over": replace(TOLD, last=FIRST)})

    assert closed_words(told, [replace(FOUND, merged=("swallowed",))], FIRST.plus(1)) == ()
    assert closed_words(told, [], FIRST) == ("Zinnia, weeks 27 to 29", "Zinnia, week 27")

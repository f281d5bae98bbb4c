"""What one past year alone can fail: days out of order, a day of another year, stems of no plants."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from haulm.farm.past_years import PastYear
from haulm.farm.weeks import day_in_words

LONGEST_WAIT_YEARS = 3
"""So long before its first cut it may have been sown or planted and still be told as a sowing (common practice)."""


def past_year_complaints(row: PastYear) -> Iterator[tuple[str, str, str]]:
    """Column, found and accepted of all that is wrong with a row."""
    if (row.variety is None) == (row.kind is None):
        found = "nothing" if row.variety is None else f"'{row.variety}' beside the kind '{row.kind}'"
        yield "variety", found, "a variety, or a whole kind in its place"
    yield from _days(row)
    if row.stems is not None and row.plants is None:
        yield "plants", "nothing", f"the number of plants that gave the {row.stems:,} stems"
    if row.stems is None and row.plants is not None:
        yield "stems", "nothing", f"the stems that the {row.plants:,} plants gave in all"
    if row.stems is None and row.first_cut is None:
        yield "first_cut", "nothing", "the day of the first cut, or stems and plants, or both"


def _days(row: PastYear) -> Iterator[tuple[str, str, str]]:
    if row.first_cut is not None and row.first_cut.year != row.year:
        yield "first_cut", day_in_words(row.first_cut), f"a day in {row.year}, the year it is entered for"
    if row.sow_date is not None:
        latest = row.first_cut or dt.date(row.year, 12, 31)
        if row.first_cut is not None and row.first_cut <= row.sow_date:
            yield "first_cut", day_in_words(row.first_cut), f"a day after its sowing, {day_in_words(row.sow_date)}"
        elif not 0 <= latest.year - row.sow_date.year <= LONGEST_WAIT_YEARS:
            yield "sow_date", day_in_words(row.sow_date), f"a day in {latest.year} or up to three years before"
    if row.last_cut is not None:
        yield from _last_cut(row, row.last_cut)


def _last_cut(row: PastYear, last: dt.date) -> Iterator[tuple[str, str, str]]:
    if row.first_cut is None:
        yield "first_cut", "nothing", f"the day of the first cut, before the last, {day_in_words(last)}"
    elif last < row.first_cut:
        yield "last_cut", day_in_words(last), f"a day not before the first cut, {day_in_words(row.first_cut)}"
    elif (last - row.first_cut).days > 365:
        yield "last_cut", day_in_words(last), "a day within a year of the first cut"

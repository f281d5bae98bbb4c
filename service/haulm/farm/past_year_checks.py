"""What one past year alone can fail: days out of order, a day of another year, stems of no plants."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from haulm.farm.past_years import PastYear
from haulm.farm.weeks import day_in_words
from haulm.language.words import _

LONGEST_WAIT_YEARS = 3
"""So long before its first cut it may have been sown or planted and still be told as a sowing (common practice)."""


def past_year_complaints(row: PastYear) -> Iterator[tuple[str, str, str]]:
    """Column, found and accepted of all that is wrong with a row."""
    if (row.variety is None) == (row.kind is None):
        found = (
            _("nothing")
            if row.variety is None
            else _("'{variety}' beside the kind '{kind}'").format(variety=row.variety, kind=row.kind)
        )
        yield "variety", found, _("a variety, or a whole kind in its place")
    yield from _days(row)
    if row.stems is not None and row.plants is None:
        yield (
            "plants",
            _("nothing"),
            _("the number of plants that gave the {stems} stems").format(stems=f"{row.stems:,}"),
        )
    if row.stems is None and row.plants is not None:
        yield (
            "stems",
            _("nothing"),
            _("the stems that the {plants} plants gave in all").format(plants=f"{row.plants:,}"),
        )
    if row.stems is None and row.first_cut is None:
        yield "first_cut", _("nothing"), _("the day of the first cut, or stems and plants, or both")


def _days(row: PastYear) -> Iterator[tuple[str, str, str]]:
    if row.first_cut is not None and row.first_cut.year != row.year:
        yield (
            "first_cut",
            day_in_words(row.first_cut),
            _("a day in {year}, the year it is entered for").format(year=row.year),
        )
    if row.sow_date is not None:
        latest = row.first_cut or dt.date(row.year, 12, 31)
        if row.first_cut is not None and row.first_cut <= row.sow_date:
            yield (
                "first_cut",
                day_in_words(row.first_cut),
                _("a day after its sowing, {sow_date}").format(sow_date=day_in_words(row.sow_date)),
            )
        elif not 0 <= latest.year - row.sow_date.year <= LONGEST_WAIT_YEARS:
            yield (
                "sow_date",
                day_in_words(row.sow_date),
                _("a day in {year} or up to three years before").format(year=latest.year),
            )
    if row.last_cut is not None:
        yield from _last_cut(row, row.last_cut)


def _last_cut(row: PastYear, last: dt.date) -> Iterator[tuple[str, str, str]]:
    if row.first_cut is None:
        yield (
            "first_cut",
            _("nothing"),
            _("the day of the first cut, before the last, {last}").format(last=day_in_words(last)),
        )
    elif last < row.first_cut:
        yield (
            "last_cut",
            day_in_words(last),
            _("a day not before the first cut, {first_cut}").format(first_cut=day_in_words(row.first_cut)),
        )
    elif (last - row.first_cut).days > 365:
        yield "last_cut", day_in_words(last), _("a day within a year of the first cut")

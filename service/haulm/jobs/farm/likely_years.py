"""Past years held against the day, the farm's kinds and the figures in use: refused, or asked about, or as they are."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date

from haulm.evidence.past_years import kind_names, stems_a_plant, stems_before, varieties_of
from haulm.farm.faults import Fault, quoted
from haulm.farm.past_years import PastYear
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import day_in_words
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.farm.doubtful_records import DoubtfulRecord
from haulm.language.words import _

_FAR = 10
"""Times the figure in use, or that part of it: more, or less, is asked about."""


def require_likely(farm: Farm, row: PastYear, today: date) -> PastYear:
    """The row as it is written: marked where it was asked about and said again.

    Raises:
        FolderRefused: its year or a day is still to come, or no variety is of its kind.
        DoubtfulRecord: its stems a plant are ten times the figure in use, or a tenth, and that was not said again.
    """
    if faults := tuple(_faults(farm, row, today)):
        raise FolderRefused(faults=tuple(Fault("past_years", None, *fault) for fault in faults))
    doubt = _doubt(farm, row)
    if doubt and not row.really:
        raise DoubtfulRecord(doubts=[doubt])
    return replace(row, really=bool(doubt))


def year_faults(farm: Farm, today: date | None) -> Iterator[Fault]:
    """What is wrong with the past years of a folder; without a today no day is still to come."""
    for at, row in enumerate(farm.past_years, 2):
        for fault in _faults(farm, row, today or date.max):
            yield Fault("past_years.csv", at, *fault)
        doubt = _doubt(farm, row)
        if doubt and not row.really:
            yield Fault(
                "past_years.csv", at, "stems", doubt.rstrip("."), _("the same with yes under really, if it is so")
            )


def _faults(farm: Farm, row: PastYear, today: date) -> Iterator[tuple[str, str, str]]:
    """Column, found and accepted."""
    if row.kind is not None and not varieties_of(farm, row):
        names = ", ".join(sorted(kind_names(farm)))
        yield "kind", quoted(row.kind), _("a kind that this farm has varieties of: {names}").format(names=names)
    if row.year > today.year:
        yield "year", str(row.year), _("a year that has come, {year} or before").format(year=today.year)
        return
    days: Iterable[tuple[str, date | None]] = (
        ("sow_date", row.sow_date),
        ("first_cut", row.first_cut),
        ("last_cut", row.last_cut),
    )
    for column, day in days:
        if day is not None and day > today:
            yield (
                column,
                _("{day}, which is still to come").format(day=day_in_words(day)),
                _("a day not after {today}").format(today=day_in_words(today)),
            )


def _doubt(farm: Farm, row: PastYear) -> str:
    """The question about a figure that is far from the one in use; empty where there is none."""
    grown, names = stems_a_plant(row), varieties_of(farm, row)
    if grown is None or not names:
        return ""
    usual = stems_before(farm, names)
    if usual / _FAR < grown < usual * _FAR:
        return ""
    said = _("{stems} stems for sale of {plants} plants").format(stems=f"{row.stems:,}", plants=f"{row.plants:,}")
    about = _("about {grown} a plant before sorting").format(grown=_short(grown))
    return _("{kind}, {year}: {said} are {about}; usual are {usual}.").format(
        kind=name_of(farm, row), year=row.year, said=said, about=about, usual=_short(usual)
    )


def name_of(farm: Farm, row: PastYear) -> str:
    """What a row is about, as a person says it."""
    if row.kind is not None:
        return _("{kind}, all varieties").format(kind=kind_names(farm).get(row.kind, row.kind))
    return next((one.name for one in farm.varieties if one.key == row.variety), row.variety or "")


def _short(stems: float) -> str:
    return f"{stems:.1f}" if stems < 10 else f"{stems:,.0f}"

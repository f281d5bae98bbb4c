"""List the past years of the farm, with what each of them counts for and why it does not; and those taken back."""

from __future__ import annotations

from dataclasses import dataclass

from haulm.evidence.past_years import Told, WhyNot, told_of
from haulm.farm.past_years import PastYear
from haulm.farm.snapshot import Farm
from haulm.forecast.learning import Figure
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.likely_years import name_of
from haulm.jobs.farm.method_words import grown_in_words
from haulm.jobs.farm.take_back_row import rows_gone
from haulm.language.words import _, marked

_SAYS = {Figure.STEMS: marked("stems"), Figure.WEEKS: marked("first cut")}


@dataclass(frozen=True, slots=True)
class YearShown:
    """One row in words.

    Attributes:
        row: the row.
        name: what it is about.
        how: how it was grown, in a sentence; empty where nothing is said of it.
        a_plant: stems for sale that a plant gave; None where no total was entered.
        counts: what it counts for, in a sentence.
        lost: why something of it does not count, a sentence each.
    """

    row: PastYear
    name: str
    how: str
    a_plant: float | None
    counts: str
    lost: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PastYears:
    """All rows, the latest year first and by name in a year; and the last few that were taken back."""

    shown: tuple[YearShown, ...]
    gone: tuple[YearShown, ...]


def list_past_years(desk: Desk) -> PastYears:
    """Every past year as it stands. Reads only."""
    farm = desk.store.farm()
    told = {figure: told_of(farm, figure) for figure in _SAYS}
    shown = [
        _shown(farm, row, {figure: rows[at] for figure, rows in told.items()}) for at, row in enumerate(farm.past_years)
    ]
    return PastYears(tuple(sorted(shown, key=lambda one: (-one.row.year, one.name, one.row.key))), _gone(desk, farm))


def _shown(farm: Farm, row: PastYear, told: dict[Figure, Told]) -> YearShown:
    counted = [words for figure, words in _SAYS.items() if told[figure].why_not is None]
    lost = [
        _("Its {figure} {verb} not count: {why}.").format(
            figure=_(_SAYS[figure]), verb=_(_verb(figure)), why=_because(one.why_not, row)
        )
        for figure, one in told.items()
        if one.why_not not in (None, WhyNot.NOT_SAID)
    ]
    a_plant = row.stems / row.plants if row.stems and row.plants else None
    counts = _("Counts for {figures}.").format(figures=_(" and ").join(counted)) if counted else ""
    how = grown_in_words(row.method, tunnel=row.tunnel)
    return YearShown(row, name_of(farm, row), how, a_plant, counts, tuple(lost))


def _verb(figure: Figure) -> str:
    return marked("do") if figure is Figure.STEMS else marked("does")


def _because(why_not: WhyNot | None, row: PastYear) -> str:
    match why_not:
        case WhyNot.RECORDED:
            return _("your records of {year} say more, and a season counts once").format(year=row.year)
        case WhyNot.BY_VARIETY:
            return _("a variety of this kind has its own row of {year}").format(year=row.year)
        case WhyNot.NO_SOWING:
            return _("the day it was sown is not known")
        case _:
            return _("no season of yours would bring it that day; look at the dates")


def _gone(desk: Desk, farm: Farm) -> tuple[YearShown, ...]:
    """The rows taken back last that could be put back."""
    known = {variety.key for variety in farm.varieties}
    rows = rows_gone(desk, "past_years", lambda row: bool(row.kind) or row.variety in known)
    return tuple(YearShown(row, name_of(farm, row), "", None, "", ()) for row in rows)

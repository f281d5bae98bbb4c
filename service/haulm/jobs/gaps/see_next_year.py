"""Next year beside this one: each sowing of a season with the day it would be copied to, and what it stood for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from haulm.advice.next_season import (
    Earned,
    Stays,
    begun_on,
    copied,
    flowers_in,
    middling_per_metre,
    poor_kinds,
    stays_for,
    usual_season,
)
from haulm.advice.pricing import PriceList
from haulm.advice.room import BARE_BED, metres_needed
from haulm.errors import NotAccepted
from haulm.farm.batches import Batch
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week, growing_year
from haulm.farm.words import BatchStatus
from haulm.jobs.bucket_day.season_end import BatchYear, season_end
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.money_words import money_words
from haulm.language.words import _
from haulm.planning.bed_money import usual_figures
from haulm.planning.plan import Plan
from haulm.planning.usual_figures import BedMoney

_BEGUN = (BatchStatus.SOWN, BatchStatus.PLANTED, BatchStatus.CUTTING)


@dataclass(frozen=True, slots=True)
class NextSowing:
    """A sowing of the season beside its copy.

    Attributes:
        batch: the sowing as its row has it.
        copy: what would be written for it.
        stays: why nothing is copied of it unless it is planted anew; None for what is sown every year.
        is_copied: whether the copy stands in the plan already.
        is_past: whether the day of the copy is over.
        is_lost: whether the sowing was lost.
        is_hoped: whether nobody was promised anything of it, and usual sales would take it.
        cut: stems that were cut of it.
        to_come: stems it is still to give on average; None where no forecast gives any.
        earned: money and metres; None where nothing is known of one of them.
    """

    batch: Batch
    copy: Batch
    stays: Stays | None
    is_copied: bool
    is_past: bool
    is_lost: bool
    is_hoped: bool
    cut: int
    to_come: float | None
    earned: Earned | None

    @property
    def may_be_ticked(self) -> bool:
        """Whether it can be written: it is not there yet, and its day is still to come."""
        return not (self.is_copied or self.is_past)


@dataclass(frozen=True, slots=True)
class NextKind:
    """A kind's sowings of the season.

    Attributes:
        crop: the kind.
        sowings: its sowings that are sown every year, by day.
        earned: what they brought together; None where that is not known.
        why_poor: why they are not ticked, in a sentence; empty where they are.
    """

    crop: Crop
    sowings: tuple[NextSowing, ...]
    earned: Earned | None
    why_poor: str = ""

    @property
    def ticked(self) -> tuple[NextSowing, ...]:
        """Those that are proposed."""
        return () if self.why_poor else tuple(one for one in self.sowings if one.may_be_ticked)


@dataclass(frozen=True)
class NextYear:
    """A season beside the next.

    Attributes:
        season: the growing year that is copied; None where no sowing is for this one or an earlier one.
        this_year: the growing year it is.
        seasons: every growing year that sowings are for, rising.
        kinds: what is sown every year, by name.
        kept: tubers, corms and bulbs, each beside its copy, should it be planted anew.
        standing: perennials, and what was begun for the next season and winters: nothing is copied of them.
        own: sowings to come that the next season has and that are no copies.
        plan: the plan it was looked at with.
    """

    season: int | None
    this_year: int
    seasons: tuple[int, ...]
    kinds: tuple[NextKind, ...]
    kept: tuple[NextSowing, ...]
    standing: tuple[tuple[Batch, Stays], ...]
    own: int
    plan: Plan

    @cached_property
    def name(self) -> str:
        """The season that is copied, as people say it."""
        return "" if self.season is None else season_name(self.season, self.plan.farm)

    @cached_property
    def next_name(self) -> str:
        """The season it is copied into."""
        return season_name(self.into, self.plan.farm)

    @property
    def into(self) -> int:
        """The growing year it is copied into."""
        return (self.this_year if self.season is None else self.season) + 1

    @property
    def ends(self) -> date:
        """The last day of the growing year it is copied into."""
        return date(self.into + 1, 6, 30) if self.plan.farm.site.is_south else date(self.into, 12, 31)

    @cached_property
    def sowings(self) -> tuple[NextSowing, ...]:
        """Everything that has a copy."""
        return (*(one for kind in self.kinds for one in kind.sowings), *self.kept)

    @cached_property
    def ticked(self) -> tuple[NextSowing, ...]:
        """What is proposed."""
        return tuple(one for kind in self.kinds for one in kind.ticked)

    @property
    def is_all_copied(self) -> bool:
        """Whether everything that could be copied is in the plan."""
        own = [one for kind in self.kinds for one in kind.sowings]
        return bool(own) and all(one.is_copied for one in own)


def season_name(year: int, farm: Farm) -> str:
    """A growing year as people say it: `2027`, in the south `2027/28`."""
    return f"{year}/{(year + 1) % 100:02d}" if farm.site.is_south else str(year)


def see_next_year(desk: Desk, season: int | None = None) -> NextYear:
    """A season beside the next. Reads only.

    Args:
        desk: the desk.
        season: the growing year to copy; None: this one, or the last before it that has sowings.

    Raises:
        NotAccepted: no sowing is for that season.
    """
    return next_year_of(desk, desk.plan(), season)


def next_year_of(desk: Desk, plan: Plan, season: int | None) -> NextYear:
    """As `see_next_year`, of a plan.

    Raises:
        NotAccepted: no sowing is for that season.
    """
    farm = plan.farm
    years = {batch.key: flowers_in(batch, plan.crops[batch.variety], farm.site) for batch in farm.batches}
    seasons = tuple(sorted({year for year in years.values() if year is not None}))
    this_year = growing_year(plan.today, farm.site.latitude)
    if season is not None and season not in seasons:
        accepted = _("a season that sowings are for: {years}").format(
            years=", ".join(map(str, seasons)) or _("none yet")
        )
        raise NotAccepted(where="season", found=str(season), accepted=accepted)
    season = usual_season(seasons, this_year) if season is None else season
    into = (this_year if season is None else season) + 1
    sowings = () if season is None else _sowings(desk, plan, season, years)
    copies = {one.copy.key for one in sowings}
    standing = tuple(_standing(plan, into, years))
    others = copies | {batch.key for batch, _why in standing}
    own = sum(1 for key, year in years.items() if year == into and key not in others)
    kinds = _kinds(plan, [one for one in sowings if one.stays is None])
    kept = tuple(one for one in sowings if one.stays is Stays.TUBER)
    return NextYear(season, this_year, seasons, kinds, kept, standing, own, plan)


def _sowings(desk: Desk, plan: Plan, season: int, years: Mapping[str, int | None]) -> tuple[NextSowing, ...]:
    """The sowings of a season that have a copy, by day."""
    known = _Known(desk, plan, season)
    found = [known.beside(batch, season + 1) for batch in plan.farm.batches if years[batch.key] == season]
    return tuple(
        sorted(
            (one for one in found if one.stays is not Stays.PERENNIAL),
            key=lambda one: (begun_on(one.copy) or plan.today, one.batch.key),
        )
    )


class _Known:
    """What is known of the batches of a season: cut, sold, still to come."""

    def __init__(self, desk: Desk, plan: Plan, season: int) -> None:
        self._plan = plan
        self._batches = {batch.key: batch for batch in plan.growth.seen.batches}
        self._money = {one.batch.key: one for one in usual_figures(plan).beds}
        self._beds = {bed.key: bed for bed in plan.farm.beds}
        self._prices = PriceList(plan.farm.prices, plan.crops, plan.farm.site.prices)
        self._years: dict[str, list[BatchYear]] = {}
        # A growing year of the south lies in two of the calendar.
        for year in range(season, min(season + 1, plan.today.year) + 1):
            for one in season_end(desk, year).batches:
                self._years.setdefault(one.batch, []).append(one)

    def beside(self, batch: Batch, into: int) -> NextSowing:
        """A sowing beside its copy."""
        plan, money = self._plan, self._money.get(batch.key)
        copy = copied(batch, into)
        day = begun_on(copy)
        cut = sum(one.cut for one in self._years.get(batch.key, ()))
        return NextSowing(
            batch=batch,
            copy=copy,
            stays=stays_for(batch, plan.crops[batch.variety]),
            is_copied=any(one.key == copy.key for one in plan.farm.batches),
            is_past=day is not None and day < plan.today,
            is_lost=self._batches[batch.key].status is BatchStatus.LOST,
            is_hoped=money is not None and money.hoped_minor > 0 and not money.promised_minor,
            cut=cut,
            to_come=None if money is None else money.stems,
            earned=self._earned(batch, money),
        )

    def _earned(self, batch: Batch, money: BedMoney | None) -> Earned | None:
        """What a batch brought by the price list's price of what was sold of it, and is still to bring."""
        years = self._years.get(batch.key, ())
        if money is None and not years:
            return None
        price = self._prices.stem_price(batch.product, customer=None, week=Week.of(self._plan.today))
        minor = float(price) * sum(one.sold for one in years) + (0.0 if money is None else money.minor)
        crop = self._plan.crops[batch.variety]
        metres = batch.metres if money is None else money.metres
        if metres is None:
            metres = metres_needed(batch.places, crop, self._beds.get(batch.bed or "", BARE_BED))
        return Earned(minor, metres) if metres else None


def _kinds(plan: Plan, sowings: Iterable[NextSowing]) -> tuple[NextKind, ...]:
    by_kind: dict[str, list[NextSowing]] = {}
    for one in sowings:
        by_kind.setdefault(one.batch.variety, []).append(one)
    earned = {kind: found for kind, rows in by_kind.items() if (found := _together(rows)) is not None}
    poor = poor_kinds(earned)
    kinds = (
        NextKind(
            plan.crops[kind],
            tuple(rows),
            earned.get(kind),
            _why_poor(plan, earned[kind], middling_per_metre(earned)) if kind in poor else "",
        )
        for kind, rows in by_kind.items()
    )
    return tuple(sorted(kinds, key=lambda kind: (kind.crop.name.casefold(), kind.crop.key)))


def _together(rows: Iterable[NextSowing]) -> Earned | None:
    """What the sowings of a kind brought, those that were lost apart: a loss is not the kind's fault."""
    known = [one.earned for one in rows if one.earned is not None and not one.is_lost]
    return Earned(sum(one.minor for one in known), sum(one.metres for one in known)) if known else None


def _why_poor(plan: Plan, earned: Earned, middling: float) -> str:
    said = _("Not ticked: a metre of it brings {own}, a metre of your middling kind {middling}.")
    currency = plan.farm.site.currency
    own, other = (money_words(round(minor), currency) for minor in (earned.per_metre, middling))
    return said.format(own=own, middling=other)


def _standing(plan: Plan, into: int, years: Mapping[str, int | None]) -> Iterator[tuple[Batch, Stays]]:
    """What stands for the season to come, and is not sown for it: perennials, and what was begun and winters."""
    for batch in plan.growth.seen.batches:
        if batch.is_over:
            continue
        if stays_for(batch, plan.crops[batch.variety]) is Stays.PERENNIAL:
            yield batch, Stays.PERENNIAL
        elif years[batch.key] == into and batch.status in _BEGUN:
            yield batch, Stays.WINTERS

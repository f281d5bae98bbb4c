"""A batch in every season, in ten bytes a season: first day, killing day, harvest curve, stems in all."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from haulm.farm.products import Product
from haulm.farm.quantities import whole_down
from haulm.farm.varieties import Crop
from haulm.farm.words import BatchStatus, Form, Habit, LifeCycle, Method, WinterCover
from haulm.forecast.dead_lots import dead_seasons, sown_again
from haulm.forecast.doubted import need_scores
from haulm.forecast.first_stem import Growing, first_stem_days
from haulm.forecast.harvest_seen import AmountSeen, Flowering, amount_seen, harvest
from haulm.forecast.inputs import DateLevels, Evidence, Sowing
from haulm.forecast.overwintering import follows_winter, share_alive
from haulm.forecast.own_draws import OwnDraws, own_draws
from haulm.forecast.plan import cycles
from haulm.forecast.plants import after_losses, plants_of
from haulm.forecast.seasons import Seasons
from haulm.forecast.weather import THIS_YEAR, Basis, Span
from haulm.horticulture.frost import (
    NEVER,
    SplitNormal,
    frost_days,
    kept_off_c,
    share_surviving,
)
from haulm.horticulture.harvest_curve import cumulative_curves
from haulm.horticulture.heat import ASLEEP_DAYS
from haulm.kept import answers

MARKETABLE = 0.85
CUTTING_LOSS = 0.05
FAILURE = 0.03
SEEN_FROST_KILLS_ABOVE_C = -2.0
TENDER_TOPS_ABOVE_C = -4.0

_CURVES_KEPT = 256


@dataclass(frozen=True, slots=True)
class Latent:
    """One growing of a batch in every season.

    Attributes:
        lengths: length class (None: not graded) and its share.
        ready_after_days: drying days between the field and the product [d].
        first_day, kill_day: day numbers in the span, int16, shape (seasons,).
        curve: row of `curves`, int8, shape (seasons,).
        total: stems of the whole harvest, were there no frost, float32, shape (seasons,).
        curves: cumulative harvest, float32, shape (curves, days + 1).
        taken_until: stems ready on this day or before are no longer in the field (-1: none).
        left: stems counted standing on that day.
        log_share: log-likelihood of each season given what was cut and counted, shape (seasons,); None without a count.
    """

    key: str
    product: Product
    lengths: tuple[tuple[int | None, float], ...]
    ready_after_days: int
    first_day: npt.NDArray[np.int16]
    kill_day: npt.NDArray[np.int16]
    curve: npt.NDArray[np.int8]
    total: npt.NDArray[np.float32]
    curves: npt.NDArray[np.float32] = field(repr=False)
    taken_until: int = -1
    left: int = 0
    log_share: npt.NDArray[np.float64] | None = field(default=None, repr=False)

    def __post_init__(self) -> None:
        shape = self.first_day.shape
        assert shape == self.kill_day.shape == self.curve.shape == self.total.shape, "every record has all seasons"
        assert self.log_share is None or self.log_share.shape == shape, "every season has its fit"

    def thinned(self, every: int) -> Latent:
        """The same growing in every n-th season."""
        return replace(
            self,
            first_day=self.first_day[::every],
            kill_day=self.kill_day[::every],
            curve=self.curve[::every],
            total=self.total[::every],
            log_share=None if self.log_share is None else self.log_share[::every],
        )


def latents(sowing: Sowing, seasons: Seasons) -> tuple[Latent, ...]:
    """A batch in every season, one entry for each of its growings.

    Args:
        sowing: the batch, with its records.
        seasons: the shared part of every season.

    Returns:
        Latent records; none for a batch that can give no stems within the span.

    Source: `first_stem_days`, `_stems` and `_kill_days` below.
    """
    found: list[Latent] = []
    for cycle in cycles(sowing, seasons):
        draws = own_draws(cycle.key, seasons.setting)
        if cycle.key == sowing.key:
            growing = Growing(sowing, cycle, seasons)
            found.append(_with_dead_lot(_latent(growing, draws), growing, draws))
        else:
            later = replace(sowing, evidence=_lasting(sowing.evidence))
            found.append(_latent(Growing(later, cycle, seasons.apart()), draws))
    return tuple(found)


def amount_of(sowing: Sowing, seasons: Seasons) -> AmountSeen | None:
    """The evidence of stems cut and counted of a batch in this growing year, for any number of stems a plant.

    Args:
        sowing: the batch.
        seasons: the shared part of every season.

    Returns:
        The evidence; None where there is no count.

    Source: `amount_seen`.
    """
    if not sowing.evidence.cut_so_far and not sowing.evidence.left:
        return None
    for cycle in (cycle for cycle in cycles(sowing, seasons) if cycle.key == sowing.key):
        draws = own_draws(sowing.key, seasons.setting)
        growing = Growing(sowing, cycle, seasons)
        plants, _ = after_losses(plants_of(sowing, draws, seasons.setting.seasons), sowing.evidence)
        return amount_seen(_flowering(growing, plants, draws))
    return None


def _with_dead_lot(grown: Latent, growing: Growing, draws: OwnDraws) -> Latent:
    """The same growing, later or not at all in the seasons in which its lot does not come up.

    Plants, vigour, curve and the end of the season stay those of the first sowing: they are the season's and the
    batch's, and a spring frost that the later one escapes is left counted.
    """
    sowing, cycle, seasons = growing.sowing, growing.cycle, growing.seasons
    dead = dead_seasons(sowing, cycle, seasons)
    if not len(dead):
        return grown
    again = sown_again(sowing, cycle, seasons)
    later = () if again is None else cycles(again, seasons)
    first, total = grown.first_day.copy(), grown.total.copy()
    if again is None or not later:
        first[dead], total[dead] = NEVER, 0
    else:
        here = seasons.picked(dead, sowing.variety, need_scores(sowing))
        first[dead] = first_stem_days(Growing(again, later[0], here), draws.picked(dead))
    return replace(grown, first_day=first, total=total)


def _lasting(evidence: Evidence) -> Evidence:
    """What this year's evidence says of a perennial's next year: how many plants, and that they are gone."""
    return Evidence(
        plants_alive=evidence.plants_alive,
        lost_on=evidence.lost_on,
        finished_on=evidence.finished_on,
        losses=evidence.losses,
    )


def _flowering(growing: Growing, plants: npt.NDArray[np.float64], draws: OwnDraws) -> Flowering:
    sowing, seasons = growing.sowing, growing.seasons
    first = first_stem_days(growing, draws)
    years = seasons.years_of(first)
    curves = _curves(sowing.crop.habit, sowing.crop.harvest_weeks)
    return Flowering(sowing, first, years, _expected(growing, years, plants), curves, (seasons, draws))


def _latent(growing: Growing, draws: OwnDraws) -> Latent:
    sowing, seasons = growing.sowing, growing.seasons
    crop, evidence = sowing.crop, sowing.evidence
    plants, stays = after_losses(plants_of(sowing, draws, seasons.setting.seasons), evidence)
    flowering = _flowering(growing, plants, draws)
    found = harvest(flowering)
    fails = sowing.may_fail and not _seen_alive(evidence)
    total = np.where(draws.u_failure < FAILURE, 0.0, found.total) if fails else found.total
    taken = [day for day in (evidence.cut_until, evidence.gone_until) if day is not None]
    lengths = tuple((item.length_cm, item.share) for item in crop.lengths) or ((None, 1.0),)
    return Latent(
        key=sowing.key,
        product=sowing.product,
        lengths=lengths,
        ready_after_days=crop.dry_days if sowing.form is Form.DRIED else 0,
        first_day=flowering.first.astype(np.int16),
        kill_day=_end_days(growing, flowering.years).astype(np.int16),
        curve=found.curve.astype(np.int8),
        total=(total * stays).astype(np.float32),
        curves=flowering.curves,
        taken_until=seasons.span.index(max(taken)) if taken else -1,
        # A mean of equal shares may fall a hair short of them.
        left=whole_down((evidence.left or 0) * float(np.mean(stays))) if taken else 0,
        log_share=found.log_share,
    )


@answers(_CURVES_KEPT)
def _curves(habit: Habit, harvest_weeks: float) -> npt.NDArray[np.float32]:
    """The cumulative curves of a kind, one array for all its batches."""
    curves = cumulative_curves(habit, harvest_weeks).astype(np.float32)
    assert (curves[:, 0] == 0).all(), "nothing is ready before the first day"
    assert (curves[:, -1] == 1).all(), "a harvest gives all of its stems"
    curves.setflags(write=False)
    return curves


def _seen_alive(evidence: Evidence) -> bool:
    return bool(evidence.plants_alive or evidence.first_cut or evidence.ready_by or evidence.cut_so_far)


def _expected(
    growing: Growing, years: npt.NDArray[np.intp], plants: npt.NDArray[np.float64]
) -> npt.NDArray[np.float64]:
    """Stems fit for sale to expect of the batch's plants in a usual season, shape (seasons,) or ().

    Source: 0.85 fit for sale, 0.05 lost at cutting, one batch in 33 fails outright: all from memory.
    """
    sowing = growing.sowing
    winters = follows_winter(sowing, growing.seasons)
    if winters:
        plants = plants * share_alive(growing, years)
    if not winters or _tops_are_tender(sowing):
        nights = _frost_nights(growing, years)
        if nights.any():
            plants = plants * share_surviving(nights, sowing.crop.life_cycle)
    return np.asarray(plants * sowing.crop.stems_per_plant * MARKETABLE * (1 - CUTTING_LOSS), dtype=np.float64)


def _tops_are_tender(sowing: Sowing) -> bool:
    """Whether a frost on what stands above the ground costs plants that wintered as a tuber."""
    return sowing.crop.life_cycle is LifeCycle.BULB_TUBER and is_tender(sowing.crop)


def is_tender(crop: Crop) -> bool:
    """Whether no winter is meant for a kind's tops: a cover over them can only be there for the frosts beside it."""
    if crop.life_cycle is LifeCycle.BULB_TUBER:
        return crop.kill_c > TENDER_TOPS_ABOVE_C
    return crop.life_cycle in (LifeCycle.TENDER_ANNUAL, LifeCycle.HALF_HARDY_ANNUAL)


def _frost_nights(growing: Growing, years: npt.NDArray[np.intp]) -> npt.NDArray[np.int64]:
    """Nights at or below the crop's level between planting and the midsummer of its first stem, (seasons,) or ().

    Plants counted alive are exposed only from today; tubers once they are up.
    A given last frost ends them; frosts recorded count at least.
    """
    sowing, cycle, seasons = growing.sowing, growing.cycle, growing.seasons
    if sowing.crop.life_cycle is LifeCycle.PERENNIAL or sowing.method is Method.ESTABLISHED:
        return np.array(0)
    span, setting = seasons.span, seasons.setting
    exposed = cycle.plant + (round(sowing.crop.germination_days) if sowing.method is Method.TUBER else 0)
    if sowing.evidence.plants_alive is not None or sowing.evidence.cut_so_far or sowing.evidence.ready_by:
        exposed = max(exposed, span.index(setting.today) + 1)
    exposed = min(exposed, span.days)
    end = np.asarray(np.maximum(exposed, seasons.midsummer[years]))
    level = _level(sowing)
    last = _last_frost(years, level, seasons)
    if last is not None:
        end = np.clip(last + 1, exposed, end)
    nights = _nights_between(exposed, end, seasons.nights_before(level), seasons)
    if last is not None:
        # The farm's own dates win: its last frost is a frost, whatever the temperatures drawn for it say.
        nights = np.where(last >= exposed, np.maximum(1, nights), 0)
    if level > SEEN_FROST_KILLS_ABOVE_C and setting.frosts:
        seen = np.array([span.index(day) for day in setting.frosts], dtype=np.int64)
        struck = ((seen >= exposed) & (seen < end[..., None])).sum(axis=-1)
        nights = np.maximum(nights, struck)
    return np.asarray(nights, dtype=np.int64)


def _nights_between(
    exposed: int, end: npt.NDArray[np.intp], before: npt.NDArray[np.int16], seasons: Seasons
) -> npt.NDArray[np.int64]:
    """Nights from a day up to an end, given those before each day by weather year; a single 0 where there are none."""
    if end.ndim:
        return np.asarray(seasons.on_days(before, end) - seasons.on_days(before, exposed), dtype=np.int64)
    nights = before[:, int(end)] - before[:, exposed]
    return np.asarray(nights[seasons.weather_row] if nights.any() else 0, dtype=np.int64)


def _end_days(growing: Growing, years: npt.NDArray[np.intp]) -> npt.NDArray[np.int64]:
    """The day from which the batch gives nothing more, for frost, heat or a record of it, shape (seasons,)."""
    sowing, seasons = growing.sowing, growing.seasons
    kill = _kill_days(growing, years)
    level = sowing.crop.heat_end_c
    if level is None or seasons.weather.basis is Basis.WEEKS:
        return kill
    # Heat before a corm has come up doesn't harm it, nor does heat that it is known to have outlived.
    felt_from = max(growing.cycle.plant + ASLEEP_DAYS, _seen_alive_until(sowing.evidence, seasons.span))
    since = np.minimum(np.maximum(felt_from, _year_starts(years, seasons)), seasons.span.days - 1)
    hot = seasons.on_days(seasons.next_heat(level, cover=sowing.tunnel), since)
    return np.minimum(kill, hot.astype(np.int64))


def _kill_days(growing: Growing, years: npt.NDArray[np.intp]) -> npt.NDArray[np.int64]:
    """The day from which the batch gives nothing more, shape (seasons,).

    The first frost at the crop's level after planting and after the midsummer nearest its first stem; or the day it
    was lost or finished. Whatever is still being cut is taken to be alive.
    """
    sowing, seasons, span = growing.sowing, growing.seasons, growing.seasons.span
    level = _level(sowing)
    alive_until = max(growing.cycle.plant, _seen_alive_until(sowing.evidence, span))
    since = np.asarray(np.maximum(alive_until, seasons.midsummer[years]))
    kill = _first_frost(years, level, seasons)
    by_year = kill is None and since.ndim == 0
    if kill is None:
        day = np.minimum(np.maximum(since, 0), span.days - 1)
        frosts = seasons.next_frost(level)
        kill = (frosts[:, int(day)] if by_year else seasons.on_days(frosts, day)).astype(np.int64)
    kill = np.maximum(_supposed(kill, seasons), since)
    if level > SEEN_FROST_KILLS_ABOVE_C:
        for frost in seasons.setting.frosts:
            struck = span.index(frost) >= since
            kill = np.where(struck, np.minimum(kill, span.index(frost)), kill)
    kill = np.clip(np.minimum(kill, _end_day(sowing, seasons)), 0, NEVER)
    return np.asarray(kill[seasons.weather_row] if by_year else kill, dtype=np.int64)


def _seen_alive_until(evidence: Evidence, span: Span) -> int:
    """The day after the last on which the batch was seen to give stems; 0 where it was not."""
    days = [day for day in (evidence.first_cut, evidence.ready_by, evidence.cut_until) if day is not None]
    return max((span.index(day) + 1 for day in days), default=0)


def _year_starts(years: npt.NDArray[np.intp], seasons: Seasons) -> npt.NDArray[np.int64]:
    """The first day of growing years, same shape."""
    return np.asarray(np.array(seasons.span.starts)[years], dtype=np.int64)


def _supposed(kill: npt.NDArray[np.int64], seasons: Seasons) -> npt.NDArray[np.int64]:
    """The killing days with the frost supposed earlier, same shape; one that is still to come stays so."""
    if not seasons.setting.frost_days_earlier:
        return kill
    earlier = kill - seasons.setting.frost_days_earlier
    tomorrow = seasons.span.index(seasons.setting.today) + 1
    return np.where(kill >= NEVER, kill, np.maximum(earlier, np.minimum(kill, tomorrow)))


def _end_day(sowing: Sowing, seasons: Seasons) -> int:
    """The day the batch was lost or finished; `NEVER` while it stands."""
    ends = [day for day in (sowing.evidence.lost_on, sowing.evidence.finished_on) if day is not None]
    if sowing.status is BatchStatus.FINISHED and not ends:
        ends = [seasons.setting.today]
    return min((seasons.span.index(end) for end in ends), default=NEVER)


def _level(sowing: Sowing) -> float:
    cover = sowing.winter_cover if is_tender(sowing.crop) else WinterCover.NONE
    return sowing.crop.kill_c - kept_off_c(cover, tunnel=sowing.tunnel)


def _last_frost(years: npt.NDArray[np.intp], level: float, seasons: Seasons) -> npt.NDArray[np.int64] | None:
    levels = seasons.climate.last_spring_frost
    if levels is None:
        return None
    days = frost_days(_normal(levels, seasons.span, autumn=False), seasons.z_last_frost, kill_c=level, autumn=False)
    return days + _year_shift(years, seasons)


def _first_frost(years: npt.NDArray[np.intp], level: float, seasons: Seasons) -> npt.NDArray[np.int64] | None:
    levels = seasons.climate.first_autumn_frost
    if levels is None:
        return None
    none = seasons.climate.no_frost_share
    split = _normal(levels, seasons.span, autumn=True)
    days = frost_days(split, seasons.z_first_frost, kill_c=level, autumn=True, none_share=none)
    return np.where(days >= NEVER, NEVER, days + _year_shift(years, seasons))


def _normal(levels: DateLevels, span: Span, *, autumn: bool) -> SplitNormal:
    """The split normal of frost levels, on the day numbers of this growing year; levels may pass either end of it."""
    days = [span.month_day(level, year=THIS_YEAR) for level in (levels.p10, levels.p50, levels.p90)]
    for turn in (0, 1):
        if days[turn] > days[turn + 1]:
            passed = range(turn + 1, 3) if autumn else range(turn + 1)
            days = [day + (365 if autumn else -365) * (at in passed) for at, day in enumerate(days)]
    p10, p50, p90 = days
    return SplitNormal(p10, max(p50, p10 + 1), max(p90, p50 + 1, p10 + 2))


def _year_shift(years: npt.NDArray[np.intp], seasons: Seasons) -> npt.NDArray[np.int64]:
    return np.asarray(_year_starts(years, seasons) - seasons.span.starts[THIS_YEAR], dtype=np.int64)

"""What really becomes ready on a farm of our own: one weather year, one truth of its kinds, one luck for each season.

Written apart from `haulm.forecast`; shapes and shares are the ones growers gave (common practice, from memory). A truth
says what drives flowering and how far the library is off: sizes are spreads of a logarithm, of which the kind carries
0.9 and the variety 0.45. Draws are keyed by what they belong to, so rows of a table differ in their truth alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import log, sqrt
from zlib import crc32

import numpy as np
import numpy.typing as npt

from haulm.crop_library.library import library
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.farm.words import Habit, LifeCycle, Method
from support.true_development import CALENDAR, DAYLIGHT, SENSITIVITIES, STANDING, WARMTH, course
from support.true_weather import Land, Years, lived

Days = npt.NDArray[np.float64]
Stems = npt.NDArray[np.int64]

KIND_SHARE, VARIETY_SHARE = 0.9, 0.45
NEED_SPREAD, NEED_SHARED = 0.09, 0.3
YIELD_SPREAD, YIELD_SHARED = sqrt(log(1 + 0.30**2)), 0.35
SURVIVE, FIT_FOR_SALE, FAILS = 0.9, 0.85 * 0.95, 0.03
COUNTED_SEEDS, GERMINATION_SPREAD, BENCH_SPREAD, BENCH_SHARE, LONGEST_BENCH = 20.0, 0.40, 2 / 7, 0.7, 14
LOST_PER_NIGHT = {LifeCycle.TENDER_ANNUAL: 0.6, LifeCycle.HALF_HARDY_ANNUAL: 0.25, LifeCycle.HARDY_ANNUAL: 0.05}
CURVES = 6
_SPAN_OF_HARVEST = {
    Habit.SINGLE_CUT: (12 / 18, 24 / 18),
    Habit.FLUSH: (28 / 39, 50 / 39),
    Habit.CUT_AND_COME_AGAIN: (70 / 95, 120 / 95),
}


@dataclass(frozen=True, slots=True)
class Sizes:
    """How far the library is off: spread of weeks and stems; None: the usual size of each kind."""

    weeks: float | None = 0.0
    stems: float | None = 0.0


@dataclass(frozen=True, slots=True)
class Truth:
    """What is so.

    Attributes:
        driver: what drives flowering: warmth, daylight, calendar, or mixed (one of them for each kind).
        off: how far the library's figures are off.
        bad_share, bad_factor: share of seasons in which every kind gives that part of its stems.
        dead_share: share of sowings that don't come up, are seen at their count and sown again.
        shared: how many times as much of the luck is the season's as is usual.
    """

    driver: str = WARMTH
    off: Sizes = Sizes()
    bad_share: float = 0.0
    bad_factor: float = 0.5
    dead_share: float = 0.0
    shared: float = 1.0


@dataclass(frozen=True, eq=False)
class Ground:
    """A farm as the truth needs it: where, what grows, and which years it lives through."""

    land: Land
    turn: int
    batches: tuple[Batch, ...]
    crops: Mapping[str, Crop]
    kinds: Mapping[str, str]


@dataclass(frozen=True, eq=False)
class _Luck:
    """The draws of some seasons of one farm."""

    seed: int
    seasons: int
    years: Years
    row: npt.NDArray[np.intp]

    def normal(self, *names: str) -> Days:
        """Normal scores of something, shape (seasons,)."""
        return self.generator(*names).standard_normal(self.seasons)

    def uniform(self, *names: str) -> Days:
        """Numbers between 0 and 1 of something, shape (seasons,)."""
        return self.generator(*names).random(self.seasons)

    def split(self, shared: float, all_of: str, *own: str) -> Days:
        """Normal scores of which a share of the variance is the season's, shape (seasons,)."""
        return sqrt(shared) * self.normal(all_of) + sqrt(1 - shared) * self.normal(*own)

    def generator(self, *names: str) -> np.random.Generator:
        """The draws of something."""
        return np.random.default_rng([self.seed, *(crc32(name.encode()) for name in names)])


def usual_sizes(kind: str) -> tuple[float, float]:
    """The usual doubt of a kind's weeks and stems a plant, spreads of a logarithm (first-year measurements).

    Weeks: .08 of plants that stand, .10 of warm kinds, .15 of hardy annuals. Stems: a grower's spread of .30, and the
    range in print (from the tenth to the ninetieth in a hundred); .15 where a plant gives one stem; .70 at most.
    """
    crop = library()[kind]
    weeks = {LifeCycle.HARDY_ANNUAL: 0.15, LifeCycle.PERENNIAL: 0.08}.get(crop.life_cycle, 0.10)
    if kind in STANDING:
        weeks = 0.08
    if crop.stems_high <= 1:
        return weeks, 0.15
    return weeks, min(0.70, sqrt((log(crop.stems_high / crop.stems_low) / 2.56) ** 2 + 0.30**2))


def harvests(ground: Ground, truth: Truth, seasons: int, seed: int) -> dict[Product, Stems]:
    """Stems of each product that become ready on each day of the season lived through, shape (days, seasons)."""
    years = lived(ground.land, ground.turn)
    order = np.random.default_rng([seed, 7]).permutation(seasons) % len(years.min_c)
    luck = _Luck(seed, seasons, years, order)
    found: dict[Product, Stems] = {}
    for batch in ground.batches:
        stems = _batch(ground, batch, truth, luck)
        found[batch.product] = found.get(batch.product, 0) + stems
    return found


def _batch(ground: Ground, batch: Batch, truth: Truth, luck: _Luck) -> Stems:
    crop, kind = ground.crops[batch.variety], ground.kinds[batch.variety]
    start = _start(ground, batch, crop, truth, luck)
    first = _first_days(ground, batch, truth, luck, start)
    kill, survive = _frosts(ground, batch, crop, luck, first)
    stems = _total(batch, crop, kind, truth, luck) * survive
    curves = _curves(crop)
    pick = np.minimum((luck.uniform("curve", batch.key) * CURVES).astype(int), CURVES - 1)
    days = np.arange(ground.land.days + 1)[:, None]
    age = np.clip(np.minimum(days, kill) - first, 0, curves.shape[1] - 1)
    whole = np.floor(curves[pick, age] * stems + 1e-9).astype(np.int64)
    return np.diff(whole, axis=0)


def _start(ground: Ground, batch: Batch, crop: Crop, truth: Truth, luck: _Luck) -> npt.NDArray[np.int64]:
    """The day each season's plants were sown or planted; a sowing that died is sown again when its count shows it."""
    if batch.method is Method.ESTABLISHED:
        return np.zeros(luck.seasons, np.int64)
    assert batch.sow_date is not None, "a farm of our own dates its batches"
    usual = (batch.sow_date - ground.land.first).days
    if batch.method not in (Method.DIRECT, Method.HEATED):
        return np.full(luck.seasons, usual)
    dead = luck.uniform("lot", batch.key) < truth.dead_share
    return usual + np.where(dead, round(1.3 * crop.germination_days + 3), 0)


def _first_days(
    ground: Ground, batch: Batch, truth: Truth, luck: _Luck, start: npt.NDArray[np.int64]
) -> npt.NDArray[np.int64]:
    """The first day before which as much progress was made as the plants needed."""
    kind, crop = ground.kinds[batch.variety], ground.crops[batch.variety]
    shared = min(0.9, NEED_SHARED * truth.shared)
    score = luck.split(shared, "pace", "own pace", batch.key)
    need = np.exp(NEED_SPREAD * score - NEED_SPREAD**2 / 2)
    weeks = usual_sizes(kind)[0] if truth.off.weeks is None else truth.off.weeks
    need = need * _off(weeks, "need", kind, batch.variety, luck)
    drivers = _drivers(truth, kind, crop, batch.variety, luck)
    found = np.full(luck.seasons, ground.land.days, np.int64)
    for driver in sorted(set(drivers)):
        here = np.array([one == driver for one in drivers])
        grown = course(kind, crop, ground.land, luck.years, driver)
        made = grown.made[luck.row]
        counted, given = start, 0.0
        if batch.method is Method.HEATED:
            counted = start + _delay(crop.germination_days * BENCH_SHARE, BENCH_SPREAD, batch, luck, LONGEST_BENCH)
            given = grown.emerged
        elif batch.method is Method.DIRECT:
            late = _delay(crop.germination_days, GERMINATION_SPREAD, batch, luck, ground.land.days)
            counted = start + late - round(crop.germination_days)
        before = np.take_along_axis(made, np.clip(counted, 0, ground.land.days)[:, None], axis=1)
        is_enough = made - before + given >= need[:, None]
        day = np.where(is_enough.any(axis=1), is_enough.argmax(axis=1), ground.land.days)
        found = np.where(here, day, found)
    return found


def _delay(mean: float, spread: float, batch: Batch, luck: _Luck, longest: int) -> npt.NDArray[np.int64]:
    """Days from sowing to emergence, gamma distributed."""
    rng = luck.generator("delay", batch.key)
    days = rng.gamma(spread**-2, mean * spread**2, luck.seasons)
    return np.rint(np.minimum(days, longest)).astype(np.int64)


def _drivers(truth: Truth, kind: str, crop: Crop, variety: str, luck: _Luck) -> list[tuple[str, float]]:
    """What drives a variety in each season's truth, and how far warm days hasten it."""
    choices = SENSITIVITIES[crop.life_cycle is LifeCycle.HARDY_ANNUAL]
    sensitive = [choices[int(share * len(choices))] for share in luck.uniform("sensitivity", variety)]
    names = [truth.driver] * luck.seasons
    if truth.driver == "mixed":
        names = [(WARMTH, DAYLIGHT, CALENDAR)[int(share * 3)] for share in luck.uniform("driver", kind)]
    return [(name, a if name == WARMTH else 0.0) for name, a in zip(names, sensitive, strict=True)]


def _off(size: float, what: str, kind: str, variety: str, luck: _Luck) -> Days:
    """How far a figure of the library is off; the mean is kept."""
    score = KIND_SHARE * luck.normal(what, kind) + VARIETY_SHARE * luck.normal(what, "of", variety)
    spread = size * sqrt(KIND_SHARE**2 + VARIETY_SHARE**2)
    return np.exp(size * score - spread**2 / 2)


def _total(batch: Batch, crop: Crop, kind: str, truth: Truth, luck: _Luck) -> Days:
    """Stems fit for sale of the whole harvest, were there no frost."""
    plants = np.full(luck.seasons, float(batch.plants or 0))
    if batch.method is Method.TUBER and kind not in STANDING:
        plants = plants * SURVIVE
    elif batch.method in (Method.DIRECT, Method.HEATED):
        share = crop.germination_share
        rng = luck.generator("germination", batch.key)
        up = rng.beta(COUNTED_SEEDS * share, COUNTED_SEEDS * (1 - share), luck.seasons)
        plants = np.minimum(plants, plants / (share * SURVIVE) * up * SURVIVE)
    shared = min(0.9, YIELD_SHARED * truth.shared)
    score = luck.split(shared, "vigour", "own vigour", batch.key)
    usual = usual_sizes(kind)[1] if truth.off.stems is None else truth.off.stems
    stems = plants * crop.stems_per_plant * FIT_FOR_SALE * np.exp(YIELD_SPREAD * score - YIELD_SPREAD**2 / 2)
    stems = stems * _off(usual, "stems", kind, batch.variety, luck)
    stems = np.where(luck.uniform("bad season") < truth.bad_share, stems * truth.bad_factor, stems)
    return np.where(luck.uniform("fails", batch.key) < FAILS, 0.0, stems)


def _frosts(
    ground: Ground, batch: Batch, crop: Crop, luck: _Luck, first: npt.NDArray[np.int64]
) -> tuple[npt.NDArray[np.int64], Days]:
    """The day from which frost leaves nothing, and the share of plants that spring frosts left, each (seasons,)."""
    land = ground.land
    midsummer = land.index((12, 21) if land.south else (6, 21))
    cold = luck.years.min_c <= crop.kill_c
    after = cold[:, midsummer:]
    kill = np.where(after.any(axis=1), midsummer + after.argmax(axis=1), land.days)
    stands = batch.plant_out_date or batch.sow_date
    exposed = midsummer if stands is None else (stands - land.first).days
    nights = cold[:, exposed:midsummer].sum(axis=1)
    lost = LOST_PER_NIGHT.get(crop.life_cycle, 0.25 if batch.method is Method.TUBER else 0.0)
    kept = np.ones(len(nights)) if ground.kinds[batch.variety] in STANDING else (1 - lost) ** nights
    return kill[luck.row], kept[luck.row]


def _curves(crop: Crop) -> Days:
    """The share of all stems ready before each day of the harvest, six equally likely lengths, (curves, days + 1)."""
    low, high = _SPAN_OF_HARVEST[crop.habit]
    lengths = [max(1, round(7 * crop.harvest_weeks * part)) for part in np.linspace(low, high, CURVES)]
    found = np.ones((CURVES, max(lengths) + 1))
    for row, days in enumerate(lengths):
        u = (np.arange(days) + 0.5) / days
        daily = {
            Habit.SINGLE_CUT: (u * (1 - u)) ** 2,
            Habit.FLUSH: u**1.5 * np.exp(-5 * u),
            Habit.CUT_AND_COME_AGAIN: np.minimum(1, np.arange(1, days + 1) / 14) * 2 ** (-np.arange(1, days + 1) / 75),
        }[crop.habit]
        found[row, :days] = np.concatenate([[0], np.cumsum(daily / daily.sum())])[:days]
    return found

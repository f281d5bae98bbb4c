"""What grows and what is there, as pools of the match: the forecast of all batches and the known stems.

Less what is packed and what stands in beds that a spray closes; what has not changed since the last version is reused.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property

import numpy as np

from haulm.advice.options.candidates import sowing_rules
from haulm.evidence.climate import climate_of
from haulm.evidence.doubts import doubt_of, is_seen, lot_of, without_held
from haulm.evidence.seen import Seen, seen
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.words import BedKind
from haulm.forecast.doubt_sizes import BAD_FACTOR, BAD_SHARE, DEAD_LOT_SHARE
from haulm.forecast.inputs import ClimateMissing, Setting, Sowing
from haulm.forecast.model import MODEL
from haulm.forecast.percentiles import expected_stems
from haulm.forecast.supply import Forecast, forecast
from haulm.kept import answers
from haulm.matching.supply import Block, FloatArray, IntArray, Keeping, Lot, Pool, Supply, packed, standing_lots
from haulm.planning.keeping import crops_of, keeping_of
from haulm.planning.known import PoolKey, known_blocks, still_in_store
from haulm.planning.settled import Settled, pile_name

_YEAR_AHEAD_DAYS = 400
_Stretch = tuple[date, int]
"""A first day, and how many days."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """How seasons are drawn: how many, from which seed, with the killing frost so many days earlier [d].

    `model` names the model whose figures they give.
    """

    seasons: int = 2000
    seed: int = 1
    frost_days_earlier: int = 0
    model: int = MODEL


@dataclass(frozen=True, eq=False)
class Growth:
    """Everything there is to give, over the seasons.

    Attributes:
        crops: every variety with its defaults filled in.
        keeping: the rules of the match.
        seen: what the records say.
        forecast: the batches in every season; None where there is no kind, or a batch and no climate.
        missing: why there is no forecast though there are batches.
        field: blocks of field stems by product and length, one row per ready day, shape (days, seasons).
        known: blocks of known stems by product and length, the same in every season.
        first_day: the ready day of the first row.
        days: number of rows worked out.
        circumstances: all that it was grown from but for crops, batches and counts; while they stay, so do the seasons.
    """

    crops: Mapping[str, Crop]
    keeping: Keeping
    seen: Seen
    forecast: Forecast | None
    missing: ClimateMissing | None
    field: Mapping[PoolKey, tuple[Block, ...]]
    known: Mapping[PoolKey, Block]
    first_day: date
    days: int
    circumstances: tuple[object, ...]

    @cached_property
    def supply(self) -> Supply:
        """All pools over the seasons."""
        seasons = 1 if self.forecast is None else self.forecast.setting.seasons
        weights = np.ones(1) if self.forecast is None else self.forecast.weights
        return Supply(_pools(self.field, self.known), seasons, weights)

    def quantile_supply(self, share: float) -> Supply:
        """One season: per product and length the quantile of cumulative ready stems by day, plus known stems."""
        weights = None if self.forecast is None else self.forecast.weights
        field = {
            key: (_one_season(blocks, self.first_day, self.days, weights, share),) for key, blocks in self.field.items()
        }
        return Supply(_pools(field, self.known), 1, np.ones(1))

    def reaches(self, day: date) -> bool:
        """Whether stems are worked out up to a day."""
        return (day - self.first_day).days < self.days

    def with_sowing(self, sowing: Sowing) -> Growth:
        """The same seasons with one more batch in them; nothing else is drawn again.

        Raises:
            ClimateMissing: the farm has given no climate.
        """
        field = dict(self.field)
        for key, block in self.blocks_of(sowing).items():
            field[key] = (*field.get(key, ()), block)
        return replace(self, field=field)

    def blocks_of(self, sowing: Sowing) -> dict[PoolKey, Block]:
        """What one more batch gives in the same seasons, by product and length.

        Raises:
            ClimateMissing: the farm has given no climate.
        """
        if self.forecast is None:
            raise self.missing or ClimateMissing(batch=sowing.key)
        ready = self.forecast.batch_ready_stems(sowing, self.first_day, self.days)
        return _blocks(ready, sowing, (self.first_day, self.days))

    def glance(self, sowing: Sowing, until: date, every: int) -> dict[PoolKey, Block]:
        """As `blocks_of`, but only of ready days up to a day, and in one of so many seasons.

        Raises:
            ClimateMissing: the farm has given no climate.
        """
        if self.forecast is None:
            raise self.missing or ClimateMissing(batch=sowing.key)
        days = max(1, min(self.days, (until - self.first_day).days + 1))
        ready = self.forecast.batch_ready_stems(sowing, self.first_day, days, every=every)
        return _blocks(ready, sowing, (self.first_day, self.days))


def grown(
    farm: Farm, today: date, drawing: Drawing, settled: Settled, *, last_due: date, before: Growth | None = None
) -> Growth:
    """The growth of a farm as it stands.

    Args:
        farm: the farm.
        today: the day it is looked at.
        drawing: how many seasons, from which seed, under which supposition.
        settled: lines and stems that are done with.
        last_due: the last day anything is due; the stretch worked out reaches it, or a year ahead.
        before: an earlier growth; what has not changed since is taken from it. The answer is the same without it.
    """
    crops = crops_of(farm)
    found = seen(farm, crops)
    circumstances = (today, drawing, settled, found.frosts, farm.site, farm.temperatures, farm.sprays, farm.beds)
    if before is not None and before.circumstances != circumstances:
        before = None
    first_day = min((crop.field_life.oldest(today) for crop in crops.values()), default=today)
    days = max(_YEAR_AHEAD_DAYS, (last_due - first_day).days + 1)
    missing = None
    drawn = None
    if crops:  # even where nothing is sown yet: what might be is tried in the same seasons
        try:
            made = _forecast(farm, crops, found, (today, drawing), before)
            drawn = None if made.seasons is None else made
        except ClimateMissing as error:
            missing = error
    if drawn is not None and drawn.seasons is not None:
        days = min(days, drawn.seasons.span.days - drawn.seasons.span.index(first_day))
    known = known_blocks((*farm.known_stems, *still_in_store(found.cut, settled)), settled)
    growth = Growth(
        crops, keeping_of(farm, crops, today), found, drawn, missing, {}, known, first_day, days, circumstances
    )
    return growth if drawn is None else replace(growth, field=field_of(farm, growth, settled, before))


def sowing_of(farm: Farm, batch: Batch, crop: Crop, found: Seen | None = None) -> Sowing:
    """A batch as the forecast needs it."""
    under_cover = any(bed.key == batch.bed and bed.kind is BedKind.TUNNEL for bed in farm.beds)
    sowing = Sowing(
        key=batch.key,
        variety=batch.variety,
        crop=crop,
        method=batch.method,
        form=batch.form,
        status=batch.status,
        sow_date=batch.sow_date,
        sown=batch.sown,
        plants=batch.plants,
        plant_out_date=batch.plant_out_date,
        tunnel=under_cover,
        winter_cover=batch.winter_cover,
        kind=crop.kind,
        lot=lot_of(batch),
        doubt=doubt_of(farm, crop),
        lot_seen=is_seen(batch, farm, {} if found is None else found.evidence),
        season=sowing_rules(farm.site, crop.life_cycle),
    )
    if found is None:
        return sowing
    evidence = found.evidence[batch.key]
    return replace(sowing, evidence=evidence, doubt=without_held(farm, batch, evidence, sowing.doubt))


def _forecast(
    farm: Farm, crops: Mapping[str, Crop], found: Seen, when: tuple[date, Drawing], before: Growth | None
) -> Forecast:
    sowings = [sowing_of(farm, batch, crops[batch.variety], found) for batch in found.batches]
    if before is not None and before.forecast is not None:
        return before.forecast.with_sowings(sowings)
    setting = doubted_setting(farm, *when)
    return forecast(sowings, climate_of(farm), replace(setting, frosts=found.frosts))


def doubted_setting(farm: Farm, today: date, drawing: Drawing) -> Setting:
    """Where, when and how seasons are drawn, with the farm's bad seasons and dead lots."""
    return Setting(
        latitude_deg=farm.site.latitude,
        today=today,
        seasons=drawing.seasons,
        seed=drawing.seed,
        frost_days_earlier=drawing.frost_days_earlier,
        bad_share=BAD_SHARE,
        bad_factor=BAD_FACTOR,
        dead_lot_share=DEAD_LOT_SHARE,
    )


def field_of(
    farm: Farm, growth: Growth, settled: Settled, before: Growth | None = None
) -> dict[PoolKey, tuple[Block, ...]]:
    """Blocks of every product; those of a product whose batches are the very same are taken over.

    Args:
        farm: the farm, for its sprays.
        growth: the forecast of the batches, and the stretch of days wanted.
        settled: stems that are packed.
        before: an earlier growth, or None.
    """
    drawn = growth.forecast
    assert drawn is not None, "field stems come from a forecast"
    same_stretch = before is not None and (before.first_day, before.days) == (growth.first_day, growth.days)
    blocks: dict[PoolKey, tuple[Block, ...]] = {}
    closed = _closed_stems(farm, growth)
    for product in drawn.products:
        if before is not None and same_stretch and _same_batches(before.forecast, drawn, product):
            blocks.update({key: kept for key, kept in before.field.items() if key[0] == product})
            continue
        for length, busy in drawn.busy_stems(product, growth.first_day, growth.days).items():
            key = (product, length or 0)
            for rows in closed.get(key, ()):
                busy.stems[...] -= rows[busy.row : busy.row + len(busy.stems)]
            begins = growth.first_day + timedelta(days=busy.row)
            _take_packed(busy.stems, key, begins, settled)
            block = _busy(busy.stems, (growth.first_day, growth.days), busy.row)
            if block is not None:
                blocks[key] = (block,)
    return blocks


def _same_batches(before: Forecast | None, now: Forecast, product: Product) -> bool:
    if before is None:
        return False
    old = [latent for latent in before.latents if latent.product == product]
    new = [latent for latent in now.latents if latent.product == product]
    return len(old) == len(new) and all(a is b for a, b in zip(old, new, strict=True))


def _take_packed(stems: IntArray, key: PoolKey, first_day: date, settled: Settled) -> None:
    """Stems that are packed already are no longer in the field, whatever the season."""
    product, length = key
    for row, lot in enumerate(standing_lots(first_day, len(stems)) if settled.packed else ()):
        gone = settled.packed.get((product, pile_name(lot, length)), 0)
        if gone:
            np.maximum(stems[row] - gone, 0, out=stems[row])


def _closed_stems(farm: Farm, growth: Growth) -> dict[PoolKey, list[IntArray]]:
    """Stems that become ready in a bed inside a spray's waiting time, which supplies none."""
    drawn = growth.forecast
    assert drawn is not None, "field stems come from a forecast"
    closed: dict[PoolKey, list[IntArray]] = {}
    for spray in farm.sprays:
        start = max(0, (spray.date - growth.first_day).days)
        stop = min(growth.days, (spray.wait_until - growth.first_day).days + 1)
        for batch in growth.seen.batches if start < stop else ():
            if batch.bed != spray.bed:
                continue
            for length, stems in drawn.stems_of(batch.key, growth.first_day, growth.days).items():
                stems[:start] = 0
                stems[stop:] = 0
                closed.setdefault((batch.product, length or 0), []).append(stems)
    return closed


def _blocks(stems_by_length: Mapping[int | None, IntArray], sowing: Sowing, stretch: _Stretch) -> dict[PoolKey, Block]:
    found = {}
    for length, stems in stems_by_length.items():
        block = _busy(stems, stretch)
        if block is not None:
            found[sowing.product, length or 0] = block
    return found


def _busy(stems: IntArray, stretch: _Stretch, begins: int = 0) -> Block | None:
    """The days on which some season has stems; those of the first row are so many days into the stretch."""
    rows = np.flatnonzero(stems.any(axis=1))
    if not len(rows):
        return None
    low, high = int(rows[0]), int(rows[-1]) + 1
    part = packed(stems[low:high])
    return Block(_lots(stretch)[begins + low : begins + high], part)


@answers(2)
def _lots(stretch: _Stretch) -> tuple[Lot, ...]:
    """A lot for every day of a stretch: blocks share them."""
    return standing_lots(*stretch)


def _one_season(blocks: Iterable[Block], first_day: date, days: int, weights: FloatArray | None, share: float) -> Block:
    total: IntArray | None = None
    for block in blocks:
        rows = (block.lots[0].ready - first_day).days
        if total is None:
            total = np.zeros((days, block.stems.shape[1]), np.int32)
        total[rows : rows + len(block.lots)] += block.stems
    assert total is not None, "a product has a block"
    daily = expected_stems(total, weights, share=share).astype(np.int32)
    return Block(_lots((first_day, days)), daily[:, np.newaxis])


def _pools(field: Mapping[PoolKey, tuple[Block, ...]], known: Mapping[PoolKey, Block]) -> tuple[Pool, ...]:
    keys = sorted({*field, *known})
    return tuple(
        Pool(product, length, (*field.get((product, length), ()), *_maybe(known.get((product, length)))))
        for product, length in keys
    )


def _maybe(block: Block | None) -> tuple[Block, ...]:
    return () if block is None else (block,)

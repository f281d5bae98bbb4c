"""Supply: every batch in every season, and whole stems by ready date, length class and product.

Latent records are what is kept; days are made when asked for. Whole numbers come from rounding down each batch's
cumulative harvest, each length class by itself, so one more batch never takes a stem away.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from haulm.farm.products import Product
from haulm.forecast.inputs import Climate, ClimateMissing, Setting, Sowing
from haulm.forecast.latent import Latent, latents
from haulm.forecast.plan import is_overdue
from haulm.forecast.seasons import Seasons, draw_seasons
from haulm.forecast.weather import Basis, Span, weather_years
from haulm.horticulture.frost import NEVER

StemsByLength = dict[int | None, npt.NDArray[np.int32]]


@dataclass(frozen=True)
class Forecast:
    """Latent records of every batch, with the seasons they live in.

    Attributes:
        seasons: None only where no batch was asked about.
        latents: one for each growing of each batch, in the order of the sowings.
        overdue: keys of batches more than a week behind their plan, which count for nothing until recorded.
        sowings: the batches that were asked about.
    """

    setting: Setting
    seasons: Seasons | None
    latents: tuple[Latent, ...]
    overdue: tuple[str, ...]
    sowings: tuple[Sowing, ...] = ()

    @property
    def weights(self) -> npt.NDArray[np.float64]:
        """How much each season counts, summing to 1, shape (seasons,)."""
        if self.seasons is None:
            return np.full(self.setting.seasons, 1 / self.setting.seasons)
        return self.seasons.weights

    @property
    def basis(self) -> Basis | None:
        """What the weather rests on."""
        return None if self.seasons is None else self.seasons.weather.basis

    @property
    def products(self) -> tuple[Product, ...]:
        """The products some batch is grown for, in order."""
        return tuple(sorted({latent.product for latent in self.latents}))

    def with_sowings(self, sowings: Sequence[Sowing]) -> Forecast:
        """The same seasons with other batches; a batch that has not changed keeps its very records.

        Args:
            sowings: all batches that now stand, in any order; keys differ.

        Returns:
            Equal to a forecast of these batches in the same climate and setting.

        Raises:
            ClimateMissing: the farm has given no climate.

        Source: a batch's own draws depend on its key alone, so nothing else moves.
        """
        if self.seasons is None:
            raise ClimateMissing(batch=sowings[0].key if sowings else "")
        before = {sowing.key: sowing for sowing in self.sowings}
        kept: dict[str, list[Latent]] = {sowing.key: [] for sowing in self.sowings}
        for latent in self.latents:
            kept[latent.key].append(latent)
        found: list[Latent] = []
        for sowing in sowings:
            found += kept[sowing.key] if before.get(sowing.key) == sowing else latents(sowing, self.seasons)
        overdue = tuple(sowing.key for sowing in sowings if is_overdue(sowing, self.setting.today))
        return Forecast(self.setting, self.seasons, tuple(found), overdue, tuple(sowings))

    def ready_stems(self, product: Product, first_day: date, days: int) -> StemsByLength:
        """Stems of a product becoming ready, day by day, in every season.

        Args:
            product: a variety in a form; dried stems are ready when dry.
            first_day: the first day wanted.
            days: number of days wanted [d].

        Returns:
            By length class (None: not graded) int32 stems, shape (days, seasons); empty where nothing is grown.

        Source: the sum over batches of `stems_by_length`.
        """
        return self._stems((item for item in self.latents if item.product == product), first_day, days)

    def batch_ready_stems(self, sowing: Sowing, first_day: date, days: int) -> StemsByLength:
        """Stems of one more batch in the same seasons, without drawing anything again.

        Args:
            sowing: the batch to try; its own draws follow its key, so candidates that differ only in dates should
                share a key.
            first_day: the first day wanted.
            days: number of days wanted [d].

        Returns:
            As `ready_stems`.

        Raises:
            ClimateMissing: the farm has given no climate.

        Source: as `ready_stems`.
        """
        if self.seasons is None:
            raise ClimateMissing(batch=sowing.key)
        return self._stems(latents(sowing, self.seasons), first_day, days)

    def _stems(self, found: Iterable[Latent], first_day: date, days: int) -> StemsByLength:
        pools: StemsByLength = {}
        if self.seasons is None:
            return pools
        start = self.seasons.span.index(first_day)
        for latent in found:
            for length, _ in latent.lengths:
                if length not in pools:
                    pools[length] = np.zeros((days, self.setting.seasons), dtype=np.int32)
            add_stems(latent, pools, start, days)
        return pools


def forecast(sowings: Sequence[Sowing], climate: Climate | None, setting: Setting) -> Forecast:
    """Every batch in every season.

    Args:
        sowings: the batches, in any order; keys differ.
        climate: the weather of the place.
        setting: latitude, today, frosts seen, number of seasons, seed.

    Returns:
        The forecast. Same inputs, same numbers, on any machine with the same numpy.

    Raises:
        ClimateMissing: there is a batch to forecast and neither temperatures nor frost dates.

    Source: docs of each part; seasons by stratified resampling of weather years.
    """
    span = Span.around(setting.today, latitude_deg=setting.latitude_deg)
    given = climate if climate is not None else Climate()
    weather = weather_years(given, span, today=setting.today, seed=setting.seed)
    if weather is None:
        if sowings:
            raise ClimateMissing(batch=sowings[0].key)
        return Forecast(setting, None, (), ())
    seasons = draw_seasons(given, weather, span, setting)
    return Forecast(setting, seasons, (), ()).with_sowings(sowings)


def add_stems(latent: Latent, pools: StemsByLength, start: int, days: int) -> None:
    """Adds one growing's ready stems to its product's pools, in place.

    Args:
        latent: the growing in every season.
        pools: by length class int32 stems, shape (days, seasons).
        start: day number in the span of row 0.
        days: number of rows.

    Source: stems(d) = floor(total share H(d + 1)) - floor(total share H(d)), H the cumulative harvest, stopped at
    the killing day; days up to the last cut count as taken, but for what was counted as left.
    """
    _add_left(latent, pools, start, days)
    first = latent.first_day.astype(np.intp)
    kill = latent.kill_day.astype(np.intp)
    live = np.flatnonzero((latent.total > 0) & (first < NEVER) & (kill > first))
    if not len(live):
        return
    delay = latent.ready_after_days
    longest = latent.curves.shape[1] - 1
    first, kill = first[live] + delay, kill[live] + delay
    low = max(start, int(first.min()), latent.taken_until + 1 + delay)
    high = min(start + days, int(np.minimum(first + longest, kill).max()))
    if high <= low:
        return
    ready = _cumulative_share(latent, first - low, kill - low, latent.curve[live], high - low)
    total = latent.total[live]
    everywhere = len(live) == len(latent.total)
    for length, share in latent.lengths:
        running = (ready * (total * np.float32(share))).astype(np.int32)
        stems = running[1:] - running[:-1]
        rows = pools[length][low - start : high - start]
        if everywhere:
            rows += stems
        else:
            rows[:, live] += stems


def _cumulative_share(
    latent: Latent,
    first: npt.NDArray[np.intp],
    kill: npt.NDArray[np.intp],
    curve: npt.NDArray[np.int8],
    days: int,
) -> npt.NDArray[np.float32]:
    """The share of the harvest ready before each day of a window, float32, shape (days + 1, seasons).

    Curves stand end to end with `days + 1` zeros before and ones after, so that a window is one look-up with no
    limits to test but the killing day.
    """
    pad = days + 1
    rows, width = latent.curves.shape
    table = np.zeros((rows, width + 2 * pad), dtype=np.float32)
    table[:, pad : pad + width] = latent.curves
    table[:, pad + width :] = 1
    begins = curve.astype(np.intp) * table.shape[1] + pad
    index = np.arange(days + 1)[:, None] + (begins + np.clip(-first, -pad, width))
    if int(kill.min()) < days:
        np.minimum(index, begins + np.clip(kill - first, 0, width), out=index)
    return np.asarray(np.take(table.ravel(), index), dtype=np.float32)


def _add_left(latent: Latent, pools: StemsByLength, start: int, days: int) -> None:
    """Stems counted as left standing are ready on the day of the count, whatever the season."""
    row = latent.taken_until + latent.ready_after_days - start
    if latent.left and 0 <= row < days:
        for length, share in latent.lengths:
            pools[length][row] += int(latent.left * share)

"""Supply: every batch in every season, and whole stems by ready date, length class and product.

Latent records are what is kept; days are made when asked for. Whole numbers come from rounding down each batch's
cumulative harvest, each length class by itself, so one more batch never takes a stem away.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np
import numpy.typing as npt

from haulm.farm.products import Product
from haulm.forecast.evidence import Judged, MovedBy, judged_again, kept_or_made, moved_by, unjudged
from haulm.forecast.inputs import Climate, ClimateMissing, Setting, Sowing
from haulm.forecast.latent import Latent, latents
from haulm.forecast.plan import is_overdue
from haulm.forecast.seasons import Seasons, draw_seasons
from haulm.forecast.weather import Basis, Span, weather_years
from haulm.horticulture.frost import NEVER

_BLOCK_DAYS = 12
"""Days laid out at a time: so few that their arrays stay in the processor's cache."""

StemsByLength = dict[int | None, npt.NDArray[np.int32]]


@dataclass(frozen=True)
class Forecast:
    """Latent records of every batch, with the seasons they live in.

    Attributes:
        seasons: None only where no batch was asked about.
        latents: one for each growing of each batch, in the order of the sowings.
        overdue: keys of batches more than a week behind their plan, which count for nothing until recorded.
        sowings: the batches that were asked about.
        judged: the seasons before and after what was seen; None where `seasons` is.
    """

    setting: Setting
    seasons: Seasons | None
    latents: tuple[Latent, ...]
    overdue: tuple[str, ...]
    sowings: tuple[Sowing, ...] = ()
    judged: Judged | None = None

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
        """The same seasons with other batches or other evidence; what has not changed is not worked out again.

        Args:
            sowings: all batches that now stand, in any order; keys differ.

        Returns:
            Equal to a forecast of these batches in the same climate and setting.

        Raises:
            ClimateMissing: the farm has given no climate.

        Source: a batch's own draws depend on its key alone; what is seen of it moves the weights of the seasons.
        """
        if self.judged is None:
            raise ClimateMissing(batch=sowings[0].key if sowings else "")
        judged = judged_again(sowings, self.sowings, self.judged)
        found = judged.plain
        if judged.is_drawn_again:
            known = (self.sowings, self.latents) if judged.seasons is self.judged.seasons else ((), ())
            found = kept_or_made(sowings, judged.seasons, known)
        overdue = tuple(sowing.key for sowing in sowings if is_overdue(sowing, self.setting.today))
        return Forecast(self.setting, judged.seasons, found, overdue, tuple(sowings), judged)

    @cached_property
    def moved_by(self) -> tuple[MovedBy, ...]:
        """The batches whose records moved the forecast of others, the strongest first."""
        return () if self.judged is None else moved_by(self.sowings, self.judged)

    @property
    def effective_seasons(self) -> float:
        """How many equal seasons the forecast is worth; below 200 its figures are rough."""
        return float(self.setting.seasons) if self.judged is None else self.judged.effective

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

    def stems_of(self, batch: str, first_day: date, days: int) -> StemsByLength:
        """Stems of one batch that was asked about, in every season.

        Args:
            batch: its key.
            first_day: the first day wanted.
            days: number of days wanted [d].

        Returns:
            As `ready_stems`; empty where it counts for nothing.

        Source: as `ready_stems`.
        """
        return self._stems((item for item in self.latents if item.key == batch), first_day, days)

    def batch_ready_stems(self, sowing: Sowing, first_day: date, days: int, *, every: int = 1) -> StemsByLength:
        """Stems of one more batch in the same seasons, without drawing anything again.

        Args:
            sowing: the batch to try; its own draws follow its key, so candidates that differ only in dates should
                share a key.
            first_day: the first day wanted.
            days: number of days wanted [d].
            every: of so many seasons one is looked at.

        Returns:
            As `ready_stems`.

        Raises:
            ClimateMissing: the farm has given no climate.

        Source: as `ready_stems`.
        """
        if self.seasons is None:
            raise ClimateMissing(batch=sowing.key)
        found = latents(sowing, self.seasons)
        return self._stems((latent.thinned(every) for latent in found) if every > 1 else found, first_day, days)

    def _stems(self, found: Iterable[Latent], first_day: date, days: int) -> StemsByLength:
        pools: StemsByLength = {}
        if self.seasons is None:
            return pools
        start = self.seasons.span.index(first_day)
        for latent in found:
            for length, _ in latent.lengths:
                if length not in pools:
                    pools[length] = np.zeros((days, latent.total.size), dtype=np.int32)
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
    return Forecast(setting, seasons, (), (), (), unjudged(seasons)).with_sowings(sowings)


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
    low = max(start, int(first[live].min()) + delay, latent.taken_until + 1 + delay)
    high = min(start + days, int(np.minimum(first[live] + longest, kill[live]).max()) + delay)
    if high <= low:
        return
    # Seasons without stems are laid out too, as ones that begin when all is over: a look-up is cheaper than a choice.
    begins = np.where(latent.total > 0, np.minimum(first + delay, high), high) - low
    sheet = _Sheet.of(latent, begins, kill + delay - low, high - low)
    totals = [latent.total * np.float32(share) for _, share in latent.lengths]
    for row in range(0, high - low, _BLOCK_DAYS):
        stop = min(row + _BLOCK_DAYS, high - low)
        ready = sheet.ready_before(row, stop + 1)
        for (length, _), total in zip(latent.lengths, totals, strict=True):
            running = (ready * total).astype(np.int32)
            rows = pools[length][low - start + row : low - start + stop]
            rows += running[1:]
            rows -= running[:-1]


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Cumulative harvest of every season, laid end to end so that a day is one look-up.

    Attributes:
        shares: curves one after the other, each with noughts before and ones after, shape (n,).
        places: where each season's share of row 0 stands in `shares`, shape (seasons,).
        stops: where its share of the killing day stands, shape (seasons,); None where none is killed in the stretch.
    """

    shares: npt.NDArray[np.float32]
    places: npt.NDArray[np.intp]
    stops: npt.NDArray[np.intp] | None

    @classmethod
    def of(cls, latent: Latent, first: npt.NDArray[np.intp], kill: npt.NDArray[np.intp], days: int) -> _Sheet:
        """The sheet of a growing; first and killing days are counted from the first day of the stretch."""
        pad = days + 1
        rows, width = latent.curves.shape
        table = np.zeros((rows, width + 2 * pad), dtype=np.float32)
        table[:, pad : pad + width] = latent.curves
        table[:, pad + width :] = 1
        begins = latent.curve.astype(np.intp) * table.shape[1] + pad
        places = begins + np.clip(-first, -pad, width)
        stops = begins + np.clip(kill - first, 0, width) if int(kill.min()) < days else None
        return cls(table.ravel(), places, stops)

    def ready_before(self, row: int, stop: int) -> npt.NDArray[np.float32]:
        """The share of the harvest ready before each day from a row up to a stop, shape (stop - row, seasons)."""
        index = np.arange(row, stop)[:, None] + self.places
        if self.stops is not None:
            np.minimum(index, self.stops, out=index)
        return np.asarray(self.shares.take(index), dtype=np.float32)


def _add_left(latent: Latent, pools: StemsByLength, start: int, days: int) -> None:
    """Stems counted as left standing are ready on the day of the count, whatever the season."""
    row = latent.taken_until + latent.ready_after_days - start
    if latent.left and 0 <= row < days:
        for length, share in latent.lengths:
            pools[length][row] += int(latent.left * share)

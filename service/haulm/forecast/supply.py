"""Supply: every batch in every season, and whole stems by ready date, length class and product.

Latent records are what is kept; days are made when asked for. Whole numbers come from rounding down each batch's
cumulative harvest, each length class by itself, so one more batch never takes a stem away.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

import numpy as np
import numpy.typing as npt

from haulm.farm.products import Product
from haulm.forecast.days import BusyDays, StemsByLength, busy_by_length, ready_by_length
from haulm.forecast.evidence import Judged, MovedBy, judged_again, kept_or_made, moved_by, unjudged
from haulm.forecast.inputs import Climate, ClimateMissing, Setting, Sowing
from haulm.forecast.latent import Latent, latents
from haulm.forecast.one_night import Wintering, wintering
from haulm.forecast.plan import is_overdue, lacking_cold
from haulm.forecast.season_draws import draw_seasons
from haulm.forecast.seasons import Seasons
from haulm.forecast.spring import ColdLacking
from haulm.forecast.weather import Basis, Span, weather_years


@dataclass(frozen=True)
class Forecast:
    """Latent records of every batch, with the seasons they live in.

    Attributes:
        seasons: None only for a forecast of no batch.
        latents: one for each growing of each batch, in the order of the sowings.
        overdue: keys of batches more than a week behind their plan, which count for nothing until recorded.
        sowings: the batches it was made for.
        judged: the seasons before and after the records; None where `seasons` is.
    """

    setting: Setting
    seasons: Seasons | None
    latents: tuple[Latent, ...]
    overdue: tuple[str, ...]
    sowings: tuple[Sowing, ...] = ()
    judged: Judged | None = None

    def __post_init__(self) -> None:
        assert (self.judged is None) == (self.seasons is None), "seasons are judged where there are any"

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

        Source: a batch's own draws depend on its key alone; its records move the weights of the seasons.
        """
        if self.judged is None:
            raise ClimateMissing(batch=sowings[0].key if sowings else "")
        assert len({sowing.key for sowing in sowings}) == len(sowings), "every batch has a key of its own"
        judged = judged_again(sowings, self.sowings, self.judged)
        found = judged.plain
        if judged.is_drawn_again:
            known = (self.sowings, self.latents) if judged.seasons is self.judged.seasons else ((), ())
            found = kept_or_made(sowings, judged.seasons, known)
        overdue = tuple(sowing.key for sowing in sowings if is_overdue(sowing, self.setting.today))
        return Forecast(self.setting, judged.seasons, found, overdue, tuple(sowings), judged)

    def cold_lacking(self, sowing: Sowing) -> ColdLacking | None:
        """Why most seasons bring no stems of a batch: winters too mild for it; None where they are not."""
        return None if self.seasons is None else lacking_cold(sowing, self.seasons)

    def wintering(self, batch: str, night: date) -> Wintering | None:
        """A hardy batch on one night outside; None for a kind that a night at its level kills."""
        found = next((sowing for sowing in self.sowings if sowing.key == batch), None)
        return None if found is None or self.seasons is None else wintering(found, self.seasons, night)

    @property
    def next_growing_year(self) -> date | None:
        """The day on which the next growing year begins; None for a forecast of no batch."""
        if self.seasons is None:
            return None
        span = self.seasons.span
        today = span.index(self.setting.today)
        return next((span.first + timedelta(days=start) for start in span.starts if start > today), None)

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

        Source: the sum over batches, `ready_by_length`.
        """
        return self._stems(self._by_product.get(product, ()), first_day, days)

    def busy_stems(self, product: Product, first_day: date, days: int) -> dict[int | None, BusyDays]:
        """The same stems, on the days on which there may be some.

        Args:
            product: a variety in a form.
            first_day: the first day wanted.
            days: number of days wanted [d].

        Returns:
            By length class (None: not graded) the busy days, counted from the first day wanted.

        Source: as `ready_stems`.
        """
        if self.seasons is None:
            return {}
        start = self.seasons.span.index(first_day)
        return busy_by_length(self._by_product.get(product, ()), start, days, self.setting.seasons)

    @cached_property
    def _by_product(self) -> dict[Product, list[Latent]]:
        """The latent records of each product."""
        found: dict[Product, list[Latent]] = {}
        for latent in self.latents:
            found.setdefault(latent.product, []).append(latent)
        return found

    def stems_of(self, batch: str, first_day: date, days: int, *, every: int = 1) -> StemsByLength:
        """Stems of one batch of the forecast, in every season.

        Args:
            batch: its key.
            first_day: the first day wanted.
            days: number of days wanted [d].
            every: 1 for all seasons, n for every n-th.

        Returns:
            As `ready_stems`; empty where it counts for nothing.

        Source: as `ready_stems`.
        """
        found = [item if every == 1 else item.thinned(every) for item in self.latents if item.key == batch]
        return self._stems(found, first_day, days, every=every)

    def batch_ready_stems(self, sowing: Sowing, first_day: date, days: int, *, every: int = 1) -> StemsByLength:
        """Stems of one more batch in the same seasons, without drawing anything again.

        Args:
            sowing: the batch to try; its own draws follow its key, so candidates that differ only in dates should
                share a key.
            first_day: the first day wanted.
            days: number of days wanted [d].
            every: 1 for all seasons, n for every n-th.

        Returns:
            As `ready_stems`.

        Raises:
            ClimateMissing: the farm has given no climate.

        Source: as `ready_stems`.
        """
        if self.seasons is None:
            raise ClimateMissing(batch=sowing.key)
        found = latents(sowing, self.seasons)
        if every > 1:
            found = tuple(latent.thinned(every) for latent in found)
        return self._stems(found, first_day, days, every=every)

    def _stems(self, found: Sequence[Latent], first_day: date, days: int, *, every: int = 1) -> StemsByLength:
        if self.seasons is None:
            return {}
        start, seasons = self.seasons.span.index(first_day), -(-self.setting.seasons // every)
        return ready_by_length(found, start, days, seasons)


def forecast(sowings: Sequence[Sowing], climate: Climate | None, setting: Setting) -> Forecast:
    """Every batch in every season.

    Args:
        sowings: the batches, in any order; keys differ.
        climate: the weather of the place.
        setting: latitude, today, recorded frosts, number of seasons, seed.

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
    # The first forecast takes the way of every later one, so that the two can't differ.
    return Forecast(setting, seasons, (), (), (), unjudged(seasons)).with_sowings(sowings)

"""What the records tell of the figures: the seasons with all that was learnt of each kind and variety.

First the dates, of how sensitive varieties are to warmth and how far off their needs are; then, on the days that
follow, the counts, of how far off their stems are.
"""

from __future__ import annotations

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from haulm.forecast.doubted import need_scores, stems_scores
from haulm.forecast.figures_seen import FiguresSeen, needs_seen, stems_seen
from haulm.forecast.inputs import Sowing
from haulm.forecast.latent import Latent
from haulm.forecast.season_weights import log_mean
from haulm.forecast.seasons import Seasons
from haulm.forecast.told_dates import DatesSeen, dates_seen, learnt_sensitivities

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Learnt:
    """What was learnt in some seasons.

    Attributes:
        seasons: with what was learnt; all count as they did before.
        dates: what dates say of varieties whose need is known.
        needs: what dates say of needs that are doubted.
        stems: what counts say of stems that are doubted.
    """

    seasons: Seasons
    dates: DatesSeen = field(default_factory=lambda: DatesSeen({}, {}, frozenset()))
    needs: FiguresSeen = field(default_factory=FiguresSeen)
    stems: FiguresSeen = field(default_factory=FiguresSeen)

    @property
    def telling(self) -> set[str]:
        """The batches of which something was seen, but for counts of stems that are not doubted."""
        return {*self.dates.by_batch, *self.needs.by_batch, *self.stems.by_batch}


def learnt_from(
    sowings: Sequence[Sowing], prior: Seasons, before: Learnt | None = None, same: AbstractSet[str] = frozenset()
) -> Learnt:
    """What all records tell.

    Args:
        sowings: the batches.
        prior: the seasons, nothing learnt.
        before: what was learnt before in these seasons; the answer is the same without.
        same: batches that have not changed since.

    Returns:
        What was learnt.

    Source: `learnt_sensitivities`, `needs_seen` and `stems_seen`.
    """
    if before is None:
        before = Learnt(prior)
    dates = dates_seen(sowings, prior, {key: before.dates.by_batch.get(key) for key in same})
    needs = needs_seen(sowings, prior, before.needs, same)
    sensitivities = {**learnt_sensitivities(dates, prior), **needs.sensitivities}
    here = replace(prior, learnt=sensitivities, scores=needs.scores)
    on_their_days = {sowing.key for sowing in sowings if sowing.key in same and flowers_alike(sowing, before, here)}
    stems = stems_seen(sowings, here, before.stems, on_their_days)
    return Learnt(replace(here, scores={**needs.scores, **stems.scores}), dates, needs, stems)


def flowers_alike(sowing: Sowing, before: Learnt, here: Seasons) -> bool:
    """Whether a batch that has not changed flowers on the same days: its sensitivity and its need are as they were.

    Args:
        sowing: the batch.
        before: what was learnt before.
        here: the seasons with what is learnt now.

    Returns:
        True where nothing it depends on has moved.

    Source: definition.
    """
    was = before.seasons
    as_sensitive = np.array_equal(was.sensitivity(sowing.variety), here.sensitivity(sowing.variety))
    return as_sensitive and all(_alike(was.scores.get(of), here.scores.get(of)) for of in need_scores(sowing))


def gives_alike(sowing: Sowing, before: Learnt, here: Seasons) -> bool:
    """Whether a batch that has not changed gives the same stems on the same days.

    Args:
        sowing: the batch.
        before: what was learnt before.
        here: the seasons with what is learnt now.

    Returns:
        True where nothing it depends on has moved.

    Source: definition.
    """
    scores = before.seasons.scores
    return flowers_alike(sowing, before, here) and all(
        _alike(scores.get(of), here.scores.get(of)) for of in stems_scores(sowing)
    )


def _alike(one: FloatArray | None, other: FloatArray | None) -> bool:
    if one is None or other is None:
        return one is other
    return one is other or np.array_equal(one, other)


def log_weights(learnt: Learnt, found: Sequence[Latent]) -> FloatArray:
    """How well each season fits all that was seen.

    Args:
        learnt: what the dates and counts say.
        found: latent records, for what counts say of stems that are not doubted.

    Returns:
        Logarithms up to a constant, shape (seasons,); noughts where nothing was seen.

    Source: product over varieties of the mean over sensitivities of the product over batches with a first day; times
    what bounds say at the season's own sensitivity; times amounts. Where a figure is doubted: times what is left of
    each kind once its figures are summed over.
    """
    seen, seasons = learnt.dates, learnt.seasons
    total = np.zeros(len(seasons.weather_row))
    by_variety = seen.of_varieties()
    # In the order of the keys throughout: a sum of floating point depends on it.
    for variety in sorted(by_variety):
        total += log_mean(by_variety[variety])
    for key in sorted(seen.by_batch.keys() - seen.dated):
        total += seen.of_batch(key, seasons)
    for latent in sorted((item for item in found if item.log_share is not None), key=lambda item: item.key):
        assert latent.log_share is not None, "only those that say something"
        total += latent.log_share
    return total + learnt.needs.log_share(len(total)) + learnt.stems.log_share(len(total))

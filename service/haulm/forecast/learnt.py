"""What records say of the figures: the seasons with all that was learnt of each kind and variety.

Dates first: they say how sensitive varieties are to warmth and how far off their needs are. Then counts, on the days
of flowering that follow from these: they say how far off the stems are.
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
        dates: the evidence of dates about varieties whose need is known.
        needs: that of dates about needs that are uncertain.
        stems: that of counts about stems that are uncertain.
    """

    seasons: Seasons
    dates: DatesSeen = field(default_factory=lambda: DatesSeen({}, {}, frozenset()))
    needs: FiguresSeen = field(default_factory=FiguresSeen)
    stems: FiguresSeen = field(default_factory=FiguresSeen)

    @property
    def telling(self) -> set[str]:
        """The batches with evidence, but for counts of stems that are not uncertain."""
        return {*self.dates.by_batch, *self.needs.by_batch, *self.stems.by_batch}


def learnt_from(
    sowings: Sequence[Sowing], prior: Seasons, before: Learnt | None = None, same: AbstractSet[str] = frozenset()
) -> Learnt:
    """What all records say of the figures.

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
    """The log-likelihood of each season given all records.

    Args:
        learnt: the evidence of dates and counts.
        found: latent records, for counts of stems that are not uncertain.

    Returns:
        Logarithms up to a constant, shape (seasons,); zeros without records.

    Source: product over varieties of the mean over sensitivities of the product over batches with a first day; times
    the likelihood of bounds at the season's own sensitivity; times that of amounts. Where a figure is uncertain: times
    the likelihood of each kind with its figures integrated out.
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

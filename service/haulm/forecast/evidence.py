"""The posterior: how field records move the weights of the seasons, and the figures of each kind.

Kinds are independent given the season, so their likelihoods are multiplied, whatever the order of the records. Where
few seasons fit the records, new ones are drawn around those that do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from haulm.forecast.drawn_again import drawn_again
from haulm.forecast.inputs import Sowing
from haulm.forecast.latent import Latent, latents
from haulm.forecast.learnt import Learnt, gives_alike, learnt_from, log_weights
from haulm.forecast.season_weights import effective_seasons, weights_of
from haulm.forecast.seasons import Seasons
from haulm.forecast.weather import THIS_YEAR

FEWEST_SEASONS = 50
FEWEST_SHARE = 0.1

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Judged:
    """The seasons before and after the records: prior and posterior.

    Attributes:
        prior: as drawn without evidence.
        seasons: with weights and what was learnt; drawn again where few of the prior's fit.
        plain: latent records of all batches in the prior's seasons, with what was learnt in them.
        learnt: what was learnt in the prior's seasons.
        logs: log-likelihood of each of the prior's seasons, shape (seasons,).
        effective: how many equal seasons the result is worth.
    """

    prior: Seasons
    seasons: Seasons
    plain: tuple[Latent, ...]
    learnt: Learnt
    logs: FloatArray
    effective: float

    def __post_init__(self) -> None:
        count = len(self.prior.weather_row)
        assert self.logs.shape == (count,), "one logarithm for each season"
        assert 0 < self.effective <= count * (1 + 1e-9), "equal seasons are worth no more than there are"

    @property
    def is_drawn_again(self) -> bool:
        """Whether too few of the prior's seasons fitted, so that new ones were drawn."""
        return self.seasons.weather_row is not self.prior.weather_row


@dataclass(frozen=True, slots=True)
class MovedBy:
    """How far the records of one batch alone move the others.

    Attributes:
        batch: its key.
        late_days: its first stem against what was expected of it, later is positive [d].
        shift_days: the mean first day of this growing year's batches without records, given this batch's records
            less without any, later is positive [d].
        effective_seasons: how many equal seasons are left by this batch's evidence alone.
    """

    batch: str
    late_days: float
    shift_days: float
    effective_seasons: float


def unjudged(prior: Seasons) -> Judged:
    """The prior as the posterior of no batch and no record.

    Args:
        prior: the seasons.

    Returns:
        Judged seasons, all counting the same.

    Source: definition.
    """
    count = len(prior.weather_row)
    return Judged(prior, prior, (), Learnt(prior), np.zeros(count), float(count))


def judged_again(sowings: Sequence[Sowing], before: Sequence[Sowing], judged: Judged) -> Judged:
    """The posterior given today's records; what has not changed is not worked out again.

    Args:
        sowings: all batches that now stand.
        before: the batches that stood when `judged` was made.
        judged: the seasons as they were judged then.

    Returns:
        Judged seasons, equal to those judged from the start.

    Source: `log_weights`, and `drawn_again` where fewer than 50 seasons are left.
    """
    prior = judged.prior
    old = {sowing.key: sowing for sowing in before}
    same = {sowing.key for sowing in sowings if old.get(sowing.key) == sowing}
    learnt = learnt_from(sowings, prior, judged.learnt, same)
    here = learnt.seasons
    unmoved = [old[key] for key in sorted(same) if gives_alike(old[key], judged.learnt, here)]
    plain = kept_or_made(sowings, here, (unmoved, judged.plain))
    logs = log_weights(learnt, plain)
    # Without any record the very weights of the prior, bit for bit.
    weights = weights_of(logs) if logs.any() else prior.weights
    effective = effective_seasons(weights)
    if effective >= min(FEWEST_SEASONS, FEWEST_SHARE * len(logs)):
        return Judged(prior, replace(here, weights=weights), plain, learnt, logs, effective)
    telling = {latent.key for latent in plain if latent.log_share is not None} | learnt.telling
    if telling <= same and judged.is_drawn_again and np.array_equal(logs, judged.logs):
        return replace(judged, plain=plain, learnt=learnt)
    seasons, effective = drawn_again([sowing for sowing in sowings if sowing.key in telling], prior)
    return Judged(prior, seasons, plain, learnt, logs, effective)


def kept_or_made(
    sowings: Sequence[Sowing], seasons: Seasons, known: tuple[Sequence[Sowing], Sequence[Latent]]
) -> tuple[Latent, ...]:
    """Latent records of batches; those of batches that have not changed are taken over.

    Args:
        sowings: the batches.
        seasons: the seasons they are wanted in.
        known: batches whose records in these seasons are known, and the records.

    Returns:
        Records in the order of the batches.

    Source: `latents`.
    """
    before = {sowing.key: sowing for sowing in known[0]}
    kept: dict[str, list[Latent]] = {}
    for latent in known[1]:
        kept.setdefault(latent.key, []).append(latent)
    new = [place for place, sowing in enumerate(sowings) if before.get(sowing.key) != sowing]
    # Crops alike follow each other, so that they find the tables of progress still there.
    made = {place: latents(sowings[place], seasons) for place in sorted(new, key=lambda place: _alike(sowings[place]))}
    records = (made[at] if at in made else kept.get(sowing.key, ()) for at, sowing in enumerate(sowings))
    return tuple(latent for found in records for latent in found)


def _alike(sowing: Sowing) -> tuple[float, float, str, str]:
    crop = sowing.crop
    return crop.base_c, crop.weeks_to_flower, crop.life_cycle.value, sowing.variety


def moved_by(sowings: Sequence[Sowing], judged: Judged) -> tuple[MovedBy, ...]:
    """How far the records of each batch alone move the others.

    Args:
        sowings: all batches.
        judged: the seasons judged with them.

    Returns:
        One for each batch whose records say something of the seasons, the strongest first.

    Source: weights by that batch alone.
    """
    by_key = {sowing.key: sowing for sowing in sowings}
    learnt = judged.learnt
    amounts = {latent.key: latent.log_share for latent in judged.plain if latent.log_share is not None}
    keys = {*learnt.telling, *amounts}
    unseen = _mean_first_day([latent for latent in judged.plain if latent.key not in keys], judged.prior)
    found: list[MovedBy] = []
    for key in sorted(keys):
        logs = np.zeros(len(unseen)) + amounts.get(key, 0.0)
        if key in learnt.dates.by_batch:
            logs += learnt.dates.of_batch(key, judged.prior)
        for figures in (learnt.needs, learnt.stems):
            if key in figures.by_batch:
                logs += figures.of_batch(by_key[key])
        weights = weights_of(logs)
        shift = float(weights @ unseen - unseen.mean())
        found.append(MovedBy(key, _late_days(by_key[key], judged.prior), shift, effective_seasons(weights)))
    return tuple(sorted(found, key=lambda item: item.effective_seasons))


def _mean_first_day(found: Sequence[Latent], seasons: Seasons) -> FloatArray:
    """The mean first day of the batches that flower this growing year, season by season, shape (seasons,)."""
    low, high = seasons.span.starts[THIS_YEAR : THIS_YEAR + 2]
    here = [latent.first_day for latent in found if low <= int(np.median(latent.first_day)) < high]
    if not here:
        return np.zeros(len(seasons.weather_row))
    return np.asarray(np.minimum(np.stack(here), high).mean(axis=0), dtype=np.float64)


def _late_days(sowing: Sowing, seasons: Seasons) -> float:
    """The median first day given a batch's own dates, less that without them, in equally weighted seasons [d]."""
    free = replace(sowing, evidence=replace(sowing.evidence, first_cut=None, not_yet=None, ready_by=None))
    days = [latents(batch, seasons) for batch in (sowing, free)]
    if not all(days):
        return 0.0
    return float(np.median(days[0][0].first_day) - np.median(days[1][0].first_day))

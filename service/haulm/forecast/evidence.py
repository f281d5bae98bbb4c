"""What field records say of the seasons: how much each counts, and how sensitive each variety is to warmth.

Batches are independent once the season is given, so what they say is multiplied, whatever the order in which it was
recorded. Where few seasons fit what was seen, new ones are drawn around those that do.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from haulm.forecast.dates_seen import date_log_shares
from haulm.forecast.inputs import Sowing
from haulm.forecast.latent import Latent, latents
from haulm.forecast.seasons import Seasons, sensitivity_shares
from haulm.forecast.weather import THIS_YEAR
from haulm.horticulture.time_to_flower import SENSITIVITY_ROWS

FEWEST_SEASONS = 50
FEWEST_SHARE = 0.1
DRAWN_AROUND = 0.25
MOST_ROUNDS = 30

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Judged:
    """The seasons before and after what was seen.

    Attributes:
        prior: as drawn without evidence.
        seasons: with weights and learnt sensitivities; drawn again where few of the prior's fit.
        plain: latent records of all batches in the prior's seasons, with learnt sensitivities.
        seen: what the dates say, in the prior's seasons.
        logs: how well each of the prior's seasons fits, as logarithms, shape (seasons,).
        effective: how many equal seasons the result is worth.
    """

    prior: Seasons
    seasons: Seasons
    plain: tuple[Latent, ...]
    seen: DatesSeen
    logs: FloatArray
    effective: float

    @property
    def is_drawn_again(self) -> bool:
        """Whether too few of the prior's seasons fitted, so that new ones were drawn."""
        return self.seasons.weather_row is not self.prior.weather_row


@dataclass(frozen=True, slots=True)
class MovedBy:
    """How far what was seen of one batch alone moves the others.

    Attributes:
        batch: its key.
        late_days: its first stem against what was expected of it, later is positive [d].
        shift_days: the mean first day of the batches of this growing year of which nothing was seen, with this
            batch's evidence less without any, later is positive [d].
        effective_seasons: how many equal seasons are left by this batch's evidence alone.
    """

    batch: str
    late_days: float
    shift_days: float
    effective_seasons: float


@dataclass(frozen=True, eq=False)
class DatesSeen:
    """What the dates seen say, by batch: logarithms, shape (sensitivities, seasons); only of batches that say some.

    Attributes:
        by_batch: the logarithms.
        variety_of: the variety of each batch.
        dated: batches whose first day is known; of the others it is only bounded.
    """

    by_batch: Mapping[str, FloatArray]
    variety_of: Mapping[str, str]
    dated: frozenset[str]

    def of_varieties(self) -> dict[str, FloatArray]:
        """The same logarithms of shares (sensitivities, seasons), by variety, over batches whose first day is known."""
        found: dict[str, FloatArray] = {}
        for key in sorted(self.dated & self.by_batch.keys()):
            variety = self.variety_of[key]
            found[variety] = found[variety] + self.by_batch[key] if variety in found else self.by_batch[key]
        return found

    def of_batch(self, key: str, seasons: Seasons) -> FloatArray:
        """The logarithms of shares that one batch alone gives the seasons, shape (seasons,)."""
        shares = self.by_batch[key]
        if key in self.dated:
            return _log_mean(shares)
        rows = seasons.sensitivity(self.variety_of[key])
        return np.asarray(shares[rows, np.arange(len(rows))], dtype=np.float64)


def unjudged(prior: Seasons) -> Judged:
    """The seasons with nothing seen and no batch.

    Args:
        prior: the seasons.

    Returns:
        Judged seasons, all counting the same.

    Source: definition.
    """
    count = len(prior.weather_row)
    return Judged(prior, prior, (), DatesSeen({}, {}, frozenset()), np.zeros(count), float(count))


def judged_again(sowings: Sequence[Sowing], before: Sequence[Sowing], judged: Judged) -> Judged:
    """The seasons after what is now seen; what has not changed is not worked out again.

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
    seen = dates_seen(sowings, prior, {key: judged.seen.by_batch.get(key) for key in same})
    was = replace(prior, learnt=learnt_sensitivities(judged.seen, prior))
    here = replace(prior, learnt=learnt_sensitivities(seen, prior))
    unmoved = [old[key] for key in sorted(same) if _as_sensitive(old[key].variety, was, here)]
    plain = kept_or_made(sowings, here, (unmoved, judged.plain))
    logs = log_weights(seen, plain, here)
    weights = weights_of(logs) if logs.any() else prior.weights
    effective = effective_seasons(weights)
    if effective >= min(FEWEST_SEASONS, FEWEST_SHARE * len(logs)):
        return Judged(prior, replace(here, weights=weights), plain, seen, logs, effective)
    telling = {latent.key for latent in plain if latent.log_share is not None} | set(seen.by_batch)
    if telling <= same and judged.is_drawn_again and np.array_equal(logs, judged.logs):
        return replace(judged, plain=plain, seen=seen)
    seasons, effective = drawn_again([sowing for sowing in sowings if sowing.key in telling], prior)
    return Judged(prior, seasons, plain, seen, logs, effective)


def _as_sensitive(variety: str, one: Seasons, other: Seasons) -> bool:
    return np.array_equal(one.sensitivity(variety), other.sensitivity(variety))


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
    """How far what was seen of each batch alone moves the others.

    Args:
        sowings: all batches.
        judged: the seasons judged with them.

    Returns:
        One for each batch that says something of the seasons, the strongest first.

    Source: weights by that batch alone.
    """
    by_key = {sowing.key: sowing for sowing in sowings}
    amounts = {latent.key: latent.log_share for latent in judged.plain if latent.log_share is not None}
    keys = {*judged.seen.by_batch, *amounts}
    unseen = _mean_first_day([latent for latent in judged.plain if latent.key not in keys], judged.prior)
    found: list[MovedBy] = []
    for key in sorted(keys):
        logs = judged.seen.of_batch(key, judged.prior) if key in judged.seen.by_batch else np.zeros(len(unseen))
        weights = weights_of(logs + amounts.get(key, 0.0))
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
    """The median first day with what was seen of a batch, less that without, in equal seasons [d]."""
    free = replace(sowing, evidence=replace(sowing.evidence, first_cut=None, not_yet=None, ready_by=None))
    days = [latents(batch, seasons) for batch in (sowing, free)]
    if not all(days):
        return 0.0
    return float(np.median(days[0][0].first_day) - np.median(days[1][0].first_day))


def dates_seen(sowings: Sequence[Sowing], seasons: Seasons, known: Mapping[str, FloatArray | None]) -> DatesSeen:
    """What the dates seen of batches say of the seasons.

    Args:
        sowings: the batches.
        seasons: the shared part of every season.
        known: what was worked out before of batches that have not changed, by key; the answer is the same without.

    Returns:
        What they say: by batch the logarithms of shares, shape (sensitivities, seasons).

    Source: `date_log_shares`.
    """
    by_batch: dict[str, FloatArray] = {}
    for sowing in sowings:
        shares = known[sowing.key] if sowing.key in known else date_log_shares(sowing, seasons)
        if shares is not None:
            by_batch[sowing.key] = shares
    dated = frozenset(sowing.key for sowing in sowings if sowing.evidence.first_cut is not None)
    return DatesSeen(by_batch, {sowing.key: sowing.variety for sowing in sowings}, dated)


def learnt_sensitivities(seen: DatesSeen, seasons: Seasons) -> dict[str, npt.NDArray[np.intp]]:
    """How sensitive varieties are to warmth in each season, after what was seen of their batches.

    Args:
        seen: what the dates say.
        seasons: the shared part of every season.

    Returns:
        By variety, rows of sensitivities, shape (seasons,); only of varieties of which something was seen.

    Source: Bayes' rule, from batches whose first day is known, with equal prior weight on each; a season keeps its
    place among them.
    """
    found: dict[str, npt.NDArray[np.intp]] = {}
    for variety, logs in seen.of_varieties().items():
        shares = np.exp(logs - logs.max(axis=0))
        running = np.cumsum(shares, axis=0) / shares.sum(axis=0)
        place = sensitivity_shares(variety, seasons.setting)
        found[variety] = np.minimum((running < place).sum(axis=0), SENSITIVITY_ROWS - 1)
    return found


def log_weights(seen: DatesSeen, found: Sequence[Latent], seasons: Seasons) -> FloatArray:
    """How well each season fits all that was seen.

    Args:
        seen: what the dates say.
        found: latent records, for what the amounts say.
        seasons: the shared part of every season, with the sensitivities learnt from known first days.

    Returns:
        Logarithms up to a constant, shape (seasons,); noughts where nothing was seen.

    Source: product over varieties of the mean over sensitivities of the product over batches with a first day; times
    what bounds say at the season's own sensitivity; times amounts.
    """
    total = np.zeros(len(seasons.weather_row))
    by_variety = seen.of_varieties()
    for variety in sorted(by_variety):
        total += _log_mean(by_variety[variety])
    for key in sorted(seen.by_batch.keys() - seen.dated):
        total += seen.of_batch(key, seasons)
    for latent in sorted((item for item in found if item.log_share is not None), key=lambda item: item.key):
        assert latent.log_share is not None, "only those that say something"
        total += latent.log_share
    return total


def weights_of(logs: FloatArray) -> FloatArray:
    """Weights that add up to 1.

    Args:
        logs: logarithms up to a constant, shape (seasons,).

    Returns:
        Shape (seasons,).

    Source: definition.
    """
    shares = np.exp(logs - logs.max())
    return np.asarray(shares / shares.sum(), dtype=np.float64)


def effective_seasons(weights: FloatArray) -> float:
    """How many equal seasons are worth as much as these.

    Args:
        weights: adding up to 1, shape (seasons,).

    Returns:
        1 to the number of seasons.

    Source: Kish (1965), Survey Sampling: 1 / sum of squares.
    """
    return float(1 / np.sum(weights**2))


def drawn_again(sowings: Sequence[Sowing], seasons: Seasons) -> tuple[Seasons, float]:
    """New seasons around those that fit what was seen, all counting the same.

    Args:
        sowings: the batches of which something was seen.
        seasons: as drawn without evidence.

    Returns:
        The seasons, and the fewest effective seasons of any round.

    Source: in rounds that each keep a quarter of the seasons effective (tempering), weather years are drawn by weight
    and pace and vigour by weight with a kernel that keeps their mean and spread (Liu and West 2001, in Sequential
    Monte Carlo Methods in Practice, ch. 10).
    """
    rng = np.random.default_rng([seasons.setting.seed, 0xA6A1])
    left, fewest = 1.0, float(len(seasons.weather_row))
    for _ in range(MOST_ROUNDS):
        logs = _all_logs(sowings, seasons)
        power = _largest_power(logs, left)
        weights = weights_of(power * logs)
        fewest = min(fewest, effective_seasons(weights))
        seasons = _around(seasons, weights, rng)
        left -= power
        if left <= 0:
            break
    learnt = learnt_sensitivities(dates_seen(sowings, seasons, {}), seasons)
    return replace(seasons, learnt=learnt), fewest


def _all_logs(sowings: Sequence[Sowing], seasons: Seasons) -> FloatArray:
    seen = dates_seen(sowings, seasons, {})
    here = replace(seasons, learnt=learnt_sensitivities(seen, seasons))
    return log_weights(seen, [latent for sowing in sowings for latent in latents(sowing, here)], here)


def _largest_power(logs: FloatArray, most: float) -> float:
    """The largest power of the weights, up to a most, that keeps a quarter of the seasons effective."""
    enough = DRAWN_AROUND * len(logs)
    if effective_seasons(weights_of(most * logs)) >= enough:
        return most
    low, high = 0.0, most
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if effective_seasons(weights_of(middle * logs)) >= enough else (low, middle)
    return high


def _around(seasons: Seasons, weights: FloatArray, rng: np.random.Generator) -> Seasons:
    """Seasons drawn by weight, evenly spaced, their shared scores moved by a kernel; weather years stay in order."""
    count = len(weights)
    places = (np.arange(count) + rng.random()) / count
    picked = np.minimum(np.searchsorted(np.cumsum(weights), places), count - 1)
    width = (4 / (3 * effective_seasons(weights))) ** 0.2
    shrink = np.sqrt(1 - min(width, 0.9) ** 2)
    scores: list[FloatArray] = []
    for score in (seasons.z_pace, seasons.z_vigour):
        mean = float(score @ weights)
        spread = float(np.sqrt(((score - mean) ** 2) @ weights))
        kernel = np.sqrt(1 - shrink**2) * spread * rng.standard_normal(count)
        scores.append(mean + shrink * (score[picked] - mean) + kernel)
    rows = seasons.weather_row[picked]
    return replace(seasons, weather_row=rows, z_pace=scores[0], z_vigour=scores[1])


def _log_mean(logs: FloatArray) -> FloatArray:
    best = logs.max(axis=0)
    return np.asarray(best + np.log(np.exp(logs - best).mean(axis=0)), dtype=np.float64)

"""Evidence of recorded dates where the need of a variety is known, and its sensitivity to warmth is not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from haulm.forecast.dates_seen import date_log_shares
from haulm.forecast.doubted import is_doubted
from haulm.forecast.inputs import Sowing
from haulm.forecast.own_draws import sensitivity_shares
from haulm.forecast.season_weights import log_mean
from haulm.forecast.seasons import Seasons
from haulm.horticulture.time_to_flower import SENSITIVITY_ROWS

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class DatesSeen:
    """Log-likelihoods given recorded dates, by batch, shape (sensitivities, seasons); only of batches that have any.

    Attributes:
        by_batch: the log-likelihoods.
        variety_of: the variety of each batch.
        dated: batches whose first day is known; of the others it is only bounded.
    """

    by_batch: Mapping[str, FloatArray]
    variety_of: Mapping[str, str]
    dated: frozenset[str]

    def of_varieties(self) -> dict[str, FloatArray]:
        """Logarithms of shares (sensitivities, seasons) by variety, summed over batches whose first day is known."""
        found: dict[str, FloatArray] = {}
        for key in sorted(self.dated & self.by_batch.keys()):
            variety = self.variety_of[key]
            found[variety] = found[variety] + self.by_batch[key] if variety in found else self.by_batch[key]
        return found

    def of_batch(self, key: str, seasons: Seasons) -> FloatArray:
        """The log-likelihood of each season given one batch alone, shape (seasons,) [log of a share]."""
        shares = self.by_batch[key]
        if key in self.dated:
            return log_mean(shares)
        rows = seasons.sensitivity(self.variety_of[key])
        return np.asarray(shares[rows, np.arange(len(rows))], dtype=np.float64)


def dates_seen(sowings: Sequence[Sowing], seasons: Seasons, known: Mapping[str, FloatArray | None]) -> DatesSeen:
    """The evidence of recorded dates of batches whose need is known.

    Args:
        sowings: the batches.
        seasons: the shared part of every season.
        known: results for batches that have not changed, by key; the answer is the same without.

    Returns:
        By batch the log-likelihoods of seasons, shape (sensitivities, seasons) [log of a share].

    Source: `date_log_shares`.
    """
    by_batch: dict[str, FloatArray] = {}
    for sowing in (sowing for sowing in sowings if not is_doubted(sowing.doubt.need)):
        shares = known[sowing.key] if sowing.key in known else date_log_shares(sowing, seasons)
        if shares is not None:
            by_batch[sowing.key] = shares
    dated = frozenset(sowing.key for sowing in sowings if sowing.evidence.first_cut is not None)
    return DatesSeen(by_batch, {sowing.key: sowing.variety for sowing in sowings}, dated)


def learnt_sensitivities(seen: DatesSeen, seasons: Seasons) -> dict[str, npt.NDArray[np.intp]]:
    """How sensitive varieties are to warmth in each season, given the recorded dates of their batches.

    Args:
        seen: the evidence of dates.
        seasons: the shared part of every season.

    Returns:
        By variety, rows of sensitivities, shape (seasons,); only of varieties with records.

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

"""Evidence of uncertain figures: by batch, combined by kind, and what each season then draws for them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from haulm.forecast.dates_seen import OWN_SPREAD as OWN_PACE
from haulm.forecast.dates_seen import DateSeen, date_seen
from haulm.forecast.doubt import FigureDoubt
from haulm.forecast.doubt_draws import Part, Score
from haulm.forecast.doubted import is_doubted
from haulm.forecast.harvest_seen import OWN_SPREAD as OWN_YIELD
from haulm.forecast.harvest_seen import AmountSeen
from haulm.forecast.inputs import Sowing
from haulm.forecast.kind_seen import Grid, OfKind, OfVariety, kind_seen, nodes_of
from haulm.forecast.latent import amount_of
from haulm.forecast.normal_scores import share_below
from haulm.forecast.own_draws import sensitivity_shares
from haulm.forecast.seasons import Seasons
from haulm.horticulture.time_to_flower import KINDS, SENSITIVITY_ROWS

FloatArray = npt.NDArray[np.float64]
Rows = npt.NDArray[np.intp]
Telling = DateSeen | AmountSeen

_NEVER = 1e-12


@dataclass(frozen=True, eq=False)
class KindTold:
    """The evidence of all batches of a kind, combined.

    Attributes:
        told: what it was combined from: sowings and the evidence of each.
        found: the posterior of the kind's figure.
        sensitivities: by variety with records, rows of sensitivities, shape (seasons,); of the need only.
    """

    told: tuple[tuple[Sowing, Telling], ...]
    found: OfKind
    sensitivities: Mapping[str, Rows]

    def __post_init__(self) -> None:
        assert len({sowing.kind_key for sowing, _ in self.told}) == 1, "what is put together is of one kind"


@dataclass(frozen=True, eq=False)
class FiguresSeen:
    """The evidence of one uncertain figure, the need or the stems, over all kinds.

    Attributes:
        by_batch: the evidence of each batch that has any.
        kinds: the same combined by kind.
        scores: what each season draws for the kinds and varieties with records, shape (seasons,).
    """

    by_batch: Mapping[str, Telling] = field(default_factory=dict[str, Telling])
    kinds: Mapping[str, KindTold] = field(default_factory=dict[str, KindTold])
    scores: Mapping[Score, FloatArray] = field(default_factory=dict[Score, FloatArray])

    @property
    def sensitivities(self) -> dict[str, Rows]:
        """How sensitive varieties with records are to warmth: rows of sensitivities, shape (seasons,)."""
        return {variety: rows for kind in self.kinds.values() for variety, rows in kind.sensitivities.items()}

    def log_share(self, seasons: int) -> FloatArray:
        """The log-likelihood of each season, the figures integrated out, shape (seasons,) [log of a share]."""
        total = np.zeros(seasons)
        # In the order of the keys: a sum of floating point depends on it, and no answer may depend on what came first.
        for key in sorted(self.kinds):
            total += self.kinds[key].found.log_share
        return total

    def of_batch(self, sowing: Sowing) -> FloatArray:
        """The log-likelihood of each season given one batch alone, shape (seasons,) [log of a share]."""
        telling = self.by_batch[sowing.key]
        doubt = sowing.doubt.need if isinstance(telling, DateSeen) else sowing.doubt.stems
        nodes = nodes_of(doubt, OWN_PACE if isinstance(telling, DateSeen) else OWN_YIELD)
        logs = telling.at(nodes)
        if isinstance(telling, DateSeen):
            logs = _over_sensitivities(logs, telling.kind_of)
        # The nodes reach three spreads to either side, so a third of the last is one.
        prior = -((nodes / max(float(nodes[-1]) / 3, 1e-9)) ** 2) / 2
        return _log_sum(logs + prior[:, None])


@dataclass(frozen=True, slots=True)
class _Figure:
    """An uncertain figure: how far off it may be, and the evidence of a batch's records in some seasons."""

    doubt: Callable[[Sowing], FigureDoubt]
    telling: Callable[[Sowing, Seasons], Telling | None]


def needs_seen(sowings: Sequence[Sowing], seasons: Seasons, before: FiguresSeen, same: AbstractSet[str]) -> FiguresSeen:
    """The evidence of recorded first stems about needs that are uncertain.

    Args:
        sowings: the batches.
        seasons: the shared part of every season, nothing learnt.
        before: what was worked out before in these seasons; the answer is the same without.
        same: batches that have not changed since.

    Returns:
        The evidence, by batch and by kind.

    Source: `date_seen` and `kind_seen`.
    """
    need = _Figure(lambda sowing: sowing.doubt.need, date_seen)
    return _put_together(sowings, seasons, _telling(sowings, seasons, need, (before, same)), before)


def stems_seen(sowings: Sequence[Sowing], seasons: Seasons, before: FiguresSeen, same: AbstractSet[str]) -> FiguresSeen:
    """The evidence of counts about stems that are uncertain.

    Args:
        sowings: the batches.
        seasons: the shared part of every season, with what was learnt of needs and nothing of stems.
        before: what was worked out before; the answer is the same without.
        same: batches that have neither changed since nor flower on other days.

    Returns:
        The evidence, by batch and by kind.

    Source: `amount_seen` and `kind_seen`.
    """
    stems = _Figure(lambda sowing: sowing.doubt.stems, amount_of)
    return _put_together(sowings, seasons, _telling(sowings, seasons, stems, (before, same)), before)


def _telling(
    sowings: Sequence[Sowing], seasons: Seasons, figure: _Figure, known: tuple[FiguresSeen, AbstractSet[str]]
) -> dict[str, Telling]:
    """The evidence of each batch about a figure that is uncertain; only of batches that have any."""
    before, same = known
    found: dict[str, Telling] = {}
    for sowing in (sowing for sowing in sowings if is_doubted(figure.doubt(sowing))):
        telling = before.by_batch.get(sowing.key) if sowing.key in same else figure.telling(sowing, seasons)
        if telling is not None:
            found[sowing.key] = telling
    return found


def _put_together(
    sowings: Sequence[Sowing], seasons: Seasons, by_batch: Mapping[str, Telling], before: FiguresSeen
) -> FiguresSeen:
    told: dict[str, list[tuple[Sowing, Telling]]] = {}
    for sowing in sorted(sowings, key=lambda sowing: sowing.key):
        if sowing.key in by_batch:
            told.setdefault(sowing.kind_key, []).append((sowing, by_batch[sowing.key]))
    kinds: dict[str, KindTold] = {}
    for key, mine in told.items():
        old = before.kinds.get(key)
        same = old is not None and _same(old.told, mine)
        kinds[key] = old if old is not None and same else _kind_told(key, tuple(mine), seasons)
    scores: dict[Score, FloatArray] = {}
    for key, kind in kinds.items():
        of_kind, of_variety = _parts(kind.told[0][1])
        scores[Score(of_kind, key)] = kind.found.kind
        scores |= {Score(of_variety, variety): found for variety, found in kind.found.varieties.items()}
    return FiguresSeen(by_batch, kinds, scores)


def _same(old: Sequence[tuple[Sowing, Telling]], new: Sequence[tuple[Sowing, Telling]]) -> bool:
    pairs = zip(old, new, strict=False)
    return len(old) == len(new) and all(a[1] is b[1] and a[0].doubt == b[0].doubt for a, b in pairs)


def _parts(telling: Telling) -> tuple[Part, Part]:
    if isinstance(telling, DateSeen):
        return Part.NEED_OF_KIND, Part.NEED_OF_VARIETY
    return Part.STEMS_OF_KIND, Part.STEMS_OF_VARIETY


def _kind_told(kind: str, told: tuple[tuple[Sowing, Telling], ...], seasons: Seasons) -> KindTold:
    of_kind, of_variety = _parts(told[0][1])
    varieties: list[OfVariety] = []
    by_sensitivity: dict[str, Grid] = {}
    for variety in sorted({sowing.variety for sowing, _ in told}):
        mine = [(sowing, telling) for sowing, telling in told if sowing.variety == variety]
        doubt = _doubt(*mine[0])
        assert all(_doubt(*one) == doubt for one in mine), "batches of a variety share its doubt"
        nodes = nodes_of(doubt, OWN_PACE if of_kind is Part.NEED_OF_KIND else OWN_YIELD)
        logs = mine[0][1].at(nodes)
        for _, telling in mine[1:]:
            logs = logs + telling.at(nodes)
        first = mine[0][1]
        if isinstance(first, DateSeen):
            by_sensitivity[variety] = logs[first.kind_of]
            logs = _over_sensitivities(logs, first.kind_of)
        place = share_below(seasons.score(Score(of_variety, variety)))
        varieties.append(OfVariety(variety, doubt, nodes, logs, place))
    found = kind_seen(varieties, share_below(seasons.score(Score(of_kind, kind))))
    sensitivities = {
        variety: _sensitivity(logs, found.off[variety], sensitivity_shares(variety, seasons.setting))
        for variety, logs in by_sensitivity.items()
    }
    return KindTold(told, found, sensitivities)


def _doubt(sowing: Sowing, telling: Telling) -> FigureDoubt:
    return sowing.doubt.need if isinstance(telling, DateSeen) else sowing.doubt.stems


def _over_sensitivities(logs: Grid, kind_of: Rows) -> Grid:
    """Logarithms of mean shares over all sensitivities, shape (nodes, seasons), of those by KINDS."""
    often = np.bincount(kind_of, minlength=len(KINDS)) / len(kind_of)
    with_prior = logs + np.log(np.maximum(often, _NEVER)).astype(np.float32)[:, None, None]
    return np.asarray(_log_sum(with_prior), dtype=np.float32)


def _log_sum(logs: npt.NDArray[np.floating]) -> FloatArray:
    best = logs.max(axis=0)
    return np.asarray(best + np.log(np.exp(logs - best).sum(axis=0)), dtype=np.float64)


def _sensitivity(logs: Grid, rows: Rows, place: FloatArray) -> Rows:
    """The sensitivity that each season picks once it is known how far off the need is."""
    fit = logs[:, rows, np.arange(len(rows))]
    shares = np.exp(fit - fit.max(axis=0))
    running = np.cumsum(shares, axis=0) / shares.sum(axis=0)
    return np.asarray(np.minimum((running < place).sum(axis=0), SENSITIVITY_ROWS - 1), dtype=np.intp)

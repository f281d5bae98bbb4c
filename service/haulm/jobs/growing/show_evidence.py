"""Which records moved the forecast, and how far."""

from __future__ import annotations

from dataclasses import dataclass

from haulm.planning.plan import Plan


@dataclass(frozen=True, slots=True)
class Moved:
    """What was seen of one batch, and how far that alone moves the forecast.

    Attributes:
        batch: its key.
        records: the records that say it, oldest first.
        late_days: its first stem against what was expected of it, later is positive [d].
        others_days: the mean first day of the batches of this year of which nothing was seen, later is positive [d].
        effective_seasons: how many equal seasons are left by it alone.
    """

    batch: str
    records: tuple[str, ...]
    late_days: float
    others_days: float
    effective_seasons: float


@dataclass(frozen=True, slots=True)
class ShownEvidence:
    """What the seasons are worth after all records.

    Attributes:
        effective_seasons: how many equal seasons the forecast is worth.
        is_drawn_again: whether too few seasons fitted the records, so that new ones were drawn around those that did.
        moved_by: the batches whose records moved the forecast of others, the strongest first.
        shared_out: by record of a variety, the batches it was shared out over by rule.
    """

    effective_seasons: float
    is_drawn_again: bool
    moved_by: tuple[Moved, ...]
    shared_out: dict[str, tuple[str, ...]]


def show_evidence(plan: Plan) -> ShownEvidence:
    """What the records did to a plan's forecast."""
    growth = plan.growth
    drawn = growth.forecast
    if drawn is None:
        return ShownEvidence(0.0, is_drawn_again=False, moved_by=(), shared_out=dict(growth.seen.shared_out))
    moved = tuple(
        Moved(
            item.batch,
            growth.seen.told_by.get(item.batch, ()),
            item.late_days,
            item.shift_days,
            item.effective_seasons,
        )
        for item in drawn.moved_by
    )
    again = drawn.judged is not None and drawn.judged.is_drawn_again
    return ShownEvidence(drawn.effective_seasons, again, moved, dict(growth.seen.shared_out))

"""A season copied into the next: on which day, under which key, what stays, and which kinds earn little."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum
from statistics import median

from haulm.advice.options.candidates import sowing_rules
from haulm.farm.batches import Batch
from haulm.farm.site import Site
from haulm.farm.varieties import Crop
from haulm.farm.weeks import growing_year, same_day_next_year
from haulm.farm.words import BatchStatus, LifeCycle, Method
from haulm.horticulture.sowing_windows import in_autumn

POOR_SHARE = 1 / 3
"""A kind earns little where a metre of it brings less than this share of what a metre of the middling kind brings."""
LEAST_KINDS = 4
"""Among fewer kinds there is no middling one to compare with."""
_LONGEST_KEY = 64
_COPIED = re.compile(r"-in-\d{4}$", re.ASCII)
_FROST, _FROST_SOUTH = (10, 15), (4, 15)
"""A first autumn frost where the farm names none (from memory): only to tell an autumn sowing from a spring one."""
_SLACK, _SLACK_SOUTH = (10, 11, 12, 1, 2), (4, 5, 6, 7, 8)


class Stays(StrEnum):
    """Why a sowing is not begun anew for the next season."""

    PERENNIAL = "perennial"
    TUBER = "tuber"
    WINTERS = "winters"


@dataclass(frozen=True, slots=True)
class Earned:
    """What the sowings of a kind brought: money [minor units] and the metres of bed they took [m]."""

    minor: float
    metres: float

    @property
    def per_metre(self) -> float:
        """Money for a metre of bed [minor units a metre]."""
        return self.minor / self.metres


def begun_on(batch: Batch) -> date | None:
    """The day a batch is begun: sown, or planted where it is not sown here; None for what has always stood there."""
    return batch.sow_date or batch.plant_out_date


def flowers_in(batch: Batch, crop: Crop, site: Site) -> int | None:
    """The growing year a batch is grown for.

    Args:
        batch: the batch.
        crop: its kind.
        site: the farm's latitude and frost days.

    Returns:
        The growing year in which it begins to flower; None for what stands there already.

    Source: biennials flower in the year after they are sown, hardy annuals sown in autumn likewise; others so many
    weeks after sowing as the kind says (common practice).
    """
    day = begun_on(batch)
    if day is None or batch.method is Method.ESTABLISHED:
        return None
    sown_in = growing_year(day, site.latitude)
    if crop.life_cycle is LifeCycle.BIENNIAL or _winters(day, crop, site):
        return sown_in + 1
    weeks = crop.weeks_to_flower
    if batch.sow_date is None and batch.method is Method.PLUGS:
        weeks -= crop.weeks_to_plant_out
    return growing_year(day + timedelta(weeks=max(0.0, weeks)), site.latitude)


def stays_for(batch: Batch, crop: Crop) -> Stays | None:
    """Why a batch of the season before still stands, or is kept, in the next; None where it is to be sown anew.

    Args:
        batch: a batch of the season that is copied.
        crop: its kind.

    Returns:
        Perennial, or tuber; None for annuals and biennials.

    Source: definition.
    """
    if crop.life_cycle is LifeCycle.PERENNIAL or batch.method is Method.ESTABLISHED:
        return Stays.PERENNIAL
    if crop.life_cycle is LifeCycle.BULB_TUBER or batch.method is Method.TUBER:
        return Stays.TUBER
    return None


def copied_key(key: str, year: int) -> str:
    """The key of the copy of a row in the season of a year: always the same, so that nothing is copied twice.

    Args:
        key: the key of a row; that of a copy gives the key of its own row's copy.
        year: the growing year it is copied into.

    Returns:
        A key of at most 64 letters.

    Source: definition.
    """
    stem = _COPIED.sub("", key)
    end = f"-in-{year:04d}"
    if len(stem) + len(end) > _LONGEST_KEY:
        mark = hashlib.sha256(stem.encode()).hexdigest()[:8]
        stem = f"{stem[: _LONGEST_KEY - len(end) - len(mark) - 1]}-{mark}"
    return f"{stem}{end}"


def copied(batch: Batch, year: int) -> Batch:
    """A batch as it is planned for the season of a year: the same weekday, places, way and bed, nothing done of it yet.

    Args:
        batch: a batch of the season before.
        year: the growing year it is copied into.

    Returns:
        The batch to come; its lot is another, since its seed is.

    Source: `same_day_next_year`.
    """
    return replace(
        batch,
        key=copied_key(batch.key, year),
        sow_date=None if batch.sow_date is None else same_day_next_year(batch.sow_date),
        plant_out_date=None if batch.plant_out_date is None else same_day_next_year(batch.plant_out_date),
        status=BatchStatus.PLANNED,
        lot=None,
    )


def poor_kinds(earned: Mapping[str, Earned]) -> frozenset[str]:
    """The kinds that earn little for their metres of bed.

    Args:
        earned: by kind; those of no known metres are left out.

    Returns:
        Kinds whose metre brings less than a third of what a metre of the middling kind brings; none among fewer than
        four kinds.

    Source: a rule of this house (docs/engineer/next-year.md).
    """
    known = {kind: one.per_metre for kind, one in earned.items() if one.metres > 0}
    if len(known) < LEAST_KINDS:
        return frozenset()
    bar = POOR_SHARE * median(known.values())
    return frozenset(kind for kind, per_metre in known.items() if per_metre < bar)


def middling_per_metre(earned: Mapping[str, Earned]) -> float:
    """What a metre of the middling kind brings; 0 where no kind's metres are known [minor units a metre]."""
    return float(median([one.per_metre for one in earned.values() if one.metres > 0] or [0.0]))


def usual_season(seasons: Iterable[int], this_year: int) -> int | None:
    """The season one copies unless another is named: this growing year's, else the last before it that has sowings.

    Args:
        seasons: the growing years that sowings are for.
        this_year: the growing year it is.

    Returns:
        A growing year; None where there is nothing to copy.

    Source: definition.
    """
    return max((year for year in seasons if year <= this_year), default=None)


def is_slack(day: date, latitude_deg: float) -> bool:
    """Whether a day lies in the months in which the next season is planned, from October to February in the north.

    Args:
        day: the day.
        latitude_deg: the farm's, negative in the south, where it is half a year later [deg].

    Returns:
        True in these months.

    Source: seed for the next spring is ordered from November on (common practice).
    """
    return day.month in (_SLACK if latitude_deg >= 0 else _SLACK_SOUTH)


def _winters(day: date, crop: Crop, site: Site) -> bool:
    """Whether a hardy annual sown on a day stands over the winter before it flowers."""
    rules = sowing_rules(site, LifeCycle.HARDY_ANNUAL)
    frost = rules.first_frost_p50 or (_FROST if site.latitude >= 0 else _FROST_SOUTH)
    return crop.life_cycle is LifeCycle.HARDY_ANNUAL and in_autumn(day, replace(rules, first_frost_p50=frost))

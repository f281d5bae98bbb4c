"""The gaps that stand, each under the name it keeps, with its days as they were last worked out.

This is the one way to ask for a gap's days: list, page, today, letter, calendar and REST all do. Asking writes nothing
and works out no day.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from haulm.advice.gap_days import GapDays
from haulm.advice.gap_names import Standing, named_gaps
from haulm.advice.shortfalls import Gap, renamed
from haulm.farm.weeks import day_in_words
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _, marked
from haulm.planning.plan import Plan
from haulm.store.gap_book import Basis

NOT_YET = marked("still being worked out")


@dataclass(frozen=True, slots=True)
class DatedGap:
    """A gap with its days.

    Attributes:
        gap: the gap, under its name.
        plain: the gap as its plan has it.
        days: its days; None until they are first worked out.
        as_of: when they were worked out.
        is_pending: whether they are still to be worked out for the farm as it is now.
        merged: names of gaps that have become part of it.
        split_from: the gap that it once was a part of, or None.
        kept_as: the name under which its days and ways are kept; None: none are worked out for it.
    """

    gap: Gap
    plain: Gap
    days: GapDays | None = None
    as_of: datetime | None = None
    is_pending: bool = True
    merged: tuple[str, ...] = ()
    split_from: str | None = None
    kept_as: str | None = None

    @property
    def decide_by(self) -> date | None:
        """The last day for the next step of what is recommended; None until it is first worked out."""
        return None if self.days is None else self.days.act_by

    @property
    def way(self) -> str | None:
        """What is recommended, or None where that is not worked out."""
        return None if self.days is None else self.days.way


def dated_gaps(desk: Desk, plan: Plan, level: float | None = None) -> tuple[DatedGap, ...]:
    """The gaps of a plan, by the day to act; those without a day last.

    At each line's own level they have the names they keep. At a level asked of every line a gap's name follows from
    what is asked and its first week, and it has days only where it is just what is short at the lines' own levels too.
    """
    standing = _standing(desk, plan)
    if level is None:
        return _by_day(standing)
    days = {one.plain: one for one in standing}
    return _by_day([_at_level(gap, days.get(gap)) for gap in plan.gaps(level)])


def gap_named(desk: Desk, plan: Plan, name: str, level: float | None = None) -> DatedGap | None:
    """The gap of a name, or that which has become of it; None where there is none."""
    found = dated_gaps(desk, plan, level)
    own = next((one for one in found if one.gap.key == name), None)
    return own or next((one for one in found if name in one.merged), None)


def named_at(desk: Desk, plan: Plan, gaps: Sequence[Gap], level: float | None) -> tuple[Gap, ...]:
    """Gaps of a plan, or of one that differs from it, under the names that those have which stand.

    At a level asked of every line they keep the names they have.
    """
    if level is not None:
        return tuple(gaps)
    now = [one.standing for one in named_gaps(plan.gaps(None), _kept_standing(desk))]
    return tuple(renamed(one.gap, one.standing.name) for one in named_gaps(gaps, now))


def basis_of(desk: Desk, plan: Plan) -> Basis:
    """What days that are worked out of a plan rest on: an entry that changes nothing of what is matched is no part."""
    changed = desk.store.changed_version()
    version = changed if plan.farm.version >= changed else plan.farm.version
    return Basis(version, plan.today, desk.planner.drawing.model)


def basis_now(desk: Desk) -> Basis:
    """What is worked out for the farm as it is now rests on."""
    return Basis(desk.store.changed_version(), desk.today(), desk.planner.drawing.model)


def days_written(desk: Desk) -> int:
    """A number that rises with everything that is written of gaps: what shows their days or jobs rests on it."""
    return desk.store.gaps_written()


def act_by_words(found: DatedGap, today: date, zone: str) -> str:
    """The day to act as people say it; where it is still to be worked out for the farm as it is now, as of when."""
    if found.days is None or found.as_of is None:
        return _(NOT_YET)
    said = day_in_words(found.days.act_by)
    return f"{said}, {as_of_words(found.as_of, today, zone)}" if found.is_pending else said


def as_of_words(moment: datetime, today: date, zone: str) -> str:
    """Since when a day stands, by the farm's clock."""
    local = moment.astimezone(ZoneInfo(zone))
    at = f"{local:%H:%M}"
    return (
        _("as of {at}").format(at=at)
        if local.date() == today
        else _("as of {date}, {at}").format(date=day_in_words(local.date()), at=at)
    )


def _standing(desk: Desk, plan: Plan) -> list[DatedGap]:
    kept = {one.standing.name: one for one in desk.store.gap_book.gaps()}
    basis = basis_of(desk, plan)
    found = []
    for one in named_gaps(plan.gaps(None), [before.standing for before in kept.values()]):
        name, before = one.standing.name, None if one.is_new else kept[one.standing.name]
        worked = None if before is None else before.worked
        found.append(
            DatedGap(
                renamed(one.gap, name),
                one.gap,
                None if worked is None else worked.days,
                None if worked is None else worked.at,
                worked is None or worked.basis != basis,
                one.standing.merged,
                one.standing.split_from,
                name,
            )
        )
    return found


def _kept_standing(desk: Desk) -> list[Standing]:
    return [one.standing for one in desk.store.gap_book.gaps()]


def _at_level(gap: Gap, same: DatedGap | None) -> DatedGap:
    if same is None:
        return DatedGap(gap, gap)
    return DatedGap(gap, gap, same.days, same.as_of, same.is_pending, kept_as=same.kept_as)


def _by_day(found: list[DatedGap]) -> tuple[DatedGap, ...]:
    return tuple(sorted(found, key=lambda one: (one.decide_by or date.max, one.gap.key)))

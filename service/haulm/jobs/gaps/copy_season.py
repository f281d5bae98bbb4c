"""Copy the sowings of a season into the next, and take learnt figures over, all of it in one go or nothing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from haulm.advice.next_season import begun_on
from haulm.errors import NotAccepted
from haulm.farm.batches import Batch
from haulm.farm.weeks import day_in_words
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.names import Names
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.farm.learn_figures import LearnedFigure, Standing, accept_figures, list_own_figures
from haulm.jobs.gaps.see_next_year import NextSowing, NextYear, next_year_of
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork

COPIED = "season-copied"
"""The entry of a season that was copied, whatever number of sowings it has."""


@dataclass(frozen=True, slots=True)
class CopyAsked:
    """What somebody wants copied.

    Attributes:
        season: the growing year; None: the usual one.
        batches: keys of the sowings; None: those that are proposed.
        figures: learnt figures to take over, each by variety and name.
    """

    season: int | None = None
    batches: tuple[str, ...] | None = None
    figures: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Copied:
    """What was written.

    Attributes:
        into: the growing year it was copied into.
        batches: the new sowings; those that stood already are not among them.
        figures: the figures taken over.
    """

    into: int
    batches: tuple[Batch, ...]
    figures: tuple[LearnedFigure, ...]


def figures_offered(desk: Desk) -> tuple[LearnedFigure, ...]:
    """The farm's own figures that wait for a word. Reads only."""
    return tuple(one for one in list_own_figures(desk) if one.standing is Standing.OFFERED)


def copy_season(desk: Desk, work: UnitOfWork, asked: CopyAsked) -> Copied:
    """Put the copies of sowings into the plan; a sowing whose copy stands already is left as it is.

    Raises:
        NotAccepted: no sowing is for that season, a sowing is none of it, or the day of its copy is over.
        NotFound: no finished batch speaks of a figure.
        FolderRefused: a copy does not fit the farm.
    """
    found = next_year_of(desk, desk.plan_of(work.farm), asked.season)
    chosen = found.ticked if asked.batches is None else tuple(_chosen(found, asked.batches))
    batches = tuple(one.copy for one in chosen if not one.is_copied)
    require_sound(work.farm, batches)
    if batches:
        facts = {"season": found.season, "into": found.into, "batches": [batch.key for batch in batches]}
        seq = work.enter(COPIED, "farm", facts)
        for batch in batches:
            work.put(batch, entry=seq)
    figures = accept_figures(desk, work, asked.figures)
    return Copied(found.into, batches, figures)


def _chosen(found: NextYear, keys: Iterable[str]) -> Iterable[NextSowing]:
    known = {one.batch.key: one for one in found.sowings}
    for key in dict.fromkeys(keys):
        one = known.get(key)
        if one is None:
            raise NotAccepted(
                where="batches", found=f"'{key[:64]}'", accepted=_("a sowing of the season that is copied")
            )
        day = begun_on(one.copy)
        if one.is_past and not one.is_copied and day is not None:
            said = _("{sowing}, whose day would be {day}")
            sowing = Names(found.plan.farm).of_batch(one.batch)
            raise NotAccepted(
                where="batches",
                found=said.format(sowing=sowing, day=day_in_words(day)),
                accepted=_("one whose day is still to come"),
            )
        yield one

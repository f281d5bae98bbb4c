"""What is left when nothing in the ground can close a gap: buying in, and telling people in time."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

from haulm.advice.options.option import Option, Worth
from haulm.advice.options.situation import Situation
from haulm.advice.shortfalls import Shortfall
from haulm.farm.weeks import day_in_words
from haulm.language.words import _

_LEAST = 0.5
"""Fewer stems than this, on average, are nothing to buy [stems]."""


@dataclass(frozen=True, slots=True)
class Bought:
    """Stems to buy in: how many, the day by which they are in the store, and the last day they are for."""

    stems: int
    by: date
    until: date


def purchases(situation: Situation, *, condition_days: int, hold_days: int) -> tuple[Bought, ...]:
    """What is missing, bought as late as it can drink and no earlier than it keeps.

    Args:
        situation: the gap; each of its lines is short by so much on average.
        condition_days: days that stems drink before they leave [d].
        hold_days: days that they keep in the store [d].
    """
    found: list[Bought] = []
    group: list[Shortfall] = []
    for short in sorted(situation.gap.shortfalls, key=lambda one: (one.line.due, one.line.precedence)):
        if group and short.line.due > _in_store(situation, group, condition_days) + timedelta(days=hold_days):
            found += _bought(situation, group, condition_days)
            group = []
        group.append(short)
    return (*found, *_bought(situation, group, condition_days))


def buying_in(situation: Situation, *, condition_days: int, hold_days: int, stem_minor: int) -> Option | None:
    """Buying what is missing from another grower, week by week as it keeps; None where hardly a stem is missing.

    Args:
        situation: the gap.
        condition_days: days that stems drink before they leave [d].
        hold_days: days that they keep in the store [d].
        stem_minor: what a bought stem costs [minor units].
    """
    bought = purchases(situation, condition_days=condition_days, hold_days=hold_days)
    if not bought:
        return None
    said = "; ".join(
        _("{stems} in the store by {by}").format(stems=one.stems, by=day_in_words(one.by)) for one in bought
    )
    stems = sum(one.stems for one in bought)
    cost = stems * stem_minor
    return Option(
        kind="buy_in",
        sentence=_("Ask another grower for {asked}, about as many as are missing: {said}.").format(
            asked=situation.asked, said=said
        ),
        decide_by=min(one.by for one in bought),
        before=situation.before,
        after=None,
        closes=False,
        cost_minor=cost,
        worth=Worth(cost, 0, 0, situation.before.missing, float(stems), round(stems * situation.price), 0, 0),
    )


def telling(situation: Situation, by: date) -> Option:
    """Telling everybody who is short, by the last day to do so."""
    people = ", ".join(sorted({situation.person(line) for line in situation.lines}))
    sentence = _("Tell {people} by {by} that {asked} may be short, and offer something else.").format(
        people=people, by=day_in_words(by), asked=situation.asked
    )
    return Option("tell", sentence, by, situation.before, None, False)


def _in_store(situation: Situation, group: list[Shortfall], condition_days: int) -> date:
    return max(situation.work_day(group[0].line.due - timedelta(days=condition_days)), situation.today)


def _bought(situation: Situation, group: list[Shortfall], condition_days: int) -> list[Bought]:
    missing = sum(short.expected_missing for short in group)
    if missing < _LEAST:
        return []
    return [Bought(math.ceil(missing), _in_store(situation, group, condition_days), group[-1].line.due)]

"""Asking somebody who comes before the short lines to do without for once, while there is notice.

Lines that come later in the strict order never hold a stem that a short line could use: it took them before they were
served. So whoever can help stands before it; the last of these in the order are asked, and weddings never.
"""

from __future__ import annotations

from collections.abc import Sequence

from haulm.advice.asked_words import named
from haulm.advice.options.one_by_one import gathered
from haulm.advice.options.option import Option
from haulm.advice.options.situation import Changes, ProveLines, Situation
from haulm.demand.dated_line import DatedLine
from haulm.farm.weeks import day_in_words
from haulm.farm.words import LineClass
from haulm.language.words import _, one_or_more


def may_be_asked(situation: Situation, line: DatedLine) -> bool:
    """Whether a line's customer may be asked: no wedding, not short itself, and notice left."""
    return (
        line.line_class is not LineClass.WEDDING
        and not line.is_spare
        and line not in situation.lines
        and situation.ask_by([line]) >= situation.today
    )


def ask_later(situation: Situation, holders: Sequence[DatedLine], prove: ProveLines) -> Option | None:
    """The lines that, asked to skip once, close the gap or help enough; None where none do.

    Args:
        situation: the gap.
        holders: lines that hold stems which the short ones could use, the one to ask first at the front.
        prove: re-matches the farm with lines changed.
    """

    def changes(line: DatedLine) -> Changes:
        return {line: None}

    found = gathered(situation, [line for line in holders if may_be_asked(situation, line)], changes, prove)
    if found is None:
        return None
    asked, proof = found
    by = situation.ask_by(asked)
    return Option(
        kind="ask_later",
        sentence=_("Ask {whom}: {effect}.").format(
            whom=_(" and ").join(_said(situation, line) for line in asked), effect=situation.said(proof)
        ),
        decide_by=by,
        before=situation.before,
        after=proof,
        closes=situation.closes(proof),
        lines=asked,
        worth=situation.worth(proof),
    )


def _said(situation: Situation, line: DatedLine) -> str:
    by = situation.ask_by([line])
    days = situation.notice(line)
    wanted = named(line.product or line.choice or "", situation.names)
    return one_or_more(
        "{person} to do without {stems} stems of {wanted} on {due}, by {by} ({days} day of notice)",
        "{person} to do without {stems} stems of {wanted} on {due}, by {by} ({days} days of notice)",
        days,
    ).format(
        person=situation.person(line),
        stems=line.stems,
        wanted=wanted,
        due=day_in_words(line.due),
        by=day_in_words(by),
        days=days,
    )

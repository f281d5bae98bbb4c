"""Moments of a farm, as promises are judged by: from a match, or from confidences that a test gives."""

from __future__ import annotations

from collections.abc import Iterable

from haulm.advice.acceptance import Moment, NewPromise, Verdict, verdict
from haulm.advice.floors import Floors, sureness
from haulm.advice.shortfalls import LineOutlook
from haulm.demand.dated_line import DatedLine
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.confidence import confidence, expected_missing, joint_confidence


def moment_of(result: MatchResult) -> Moment:
    """The moment that a match shows."""
    places = range(len(result.lines))
    outlooks = tuple(
        LineOutlook(result.lines[at], confidence(result, at), expected_missing(result, at)) for at in places
    )
    where = {id(line): at for at, line in enumerate(result.lines)}
    return Moment(outlooks, sureness(outlooks, lambda lines: joint_confidence(result, [where[id(x)] for x in lines])))


def moment_with(outlooks: Iterable[LineOutlook], joint: float = 1.0) -> Moment:
    """A moment of given confidences, in which every delivery of several lines has the same joint one."""
    known = tuple(outlooks)
    return Moment(known, sureness(known, lambda lines: joint))


def judged_anew(before: MatchResult, after: MatchResult, new: Iterable[DatedLine], level: float) -> Verdict:
    """The verdict on new lines of one order from two matches, on a farm whose book keeps nothing yet."""
    lines = list(new)
    joint = joint_confidence(after, [after.places[line] for line in lines])
    return verdict(moment_of(before), moment_of(after), NewPromise(lines[0].order, level, joint), Floors())

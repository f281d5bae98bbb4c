"""What a batch will give, in words: days, stems, seasons without any, and why there are none."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from haulm.farm.quantities import whole_up
from haulm.farm.weeks import day_in_words
from haulm.farm.words import BatchStatus
from haulm.forecast.inputs import Sowing
from haulm.forecast.no_stems import NoStems
from haulm.forecast.plan import GRACE_DAYS
from haulm.language.days import day_of_month, day_of_year
from haulm.language.words import _, many, marked

_WHY: Mapping[NoStems, str] = {
    NoStems.LOST: marked("It gives no more stems: it is recorded as lost."),
    NoStems.FINISHED: marked("It gives no more stems: it is recorded as finished."),
    NoStems.UNDATED: marked("It counts for nothing until it has a day of sowing or planting."),
    NoStems.BEYOND: marked("It gives no stems in this growing year or the two after it."),
    NoStems.NO_PLANTS: marked("It gives no stems: no plant of it is left."),
    NoStems.NEVER_FLOWERS: marked("It does not come into flower here from this sowing, in any season."),
    NoStems.KILLED_FIRST: marked("It gives no stems: in every season frost kills it before the first."),
    NoStems.OVER: marked("It gives no more stems: what it gave is over."),
}


def harvest_in_words(first_stem: tuple[date, date, date], stems: tuple[int, int, int], none: float, today: date) -> str:
    """The figures of a batch in one sentence.

    Args:
        first_stem: the day of its first stem, early, middling and late.
        stems: its stems in a poor, a middling and a good season.
        none: the weight of the seasons without a stem, 0-1.
        today: what is of this year is said without the year.
    """
    early, middling, late = first_stem
    low, middle, high = stems
    if early != late:
        first = _("First stems about {day} ({between} in four seasons of five)")
    elif late <= today:
        first = _("First stems came on {day}")
    else:
        first = _("First stems on {day}")
    said = first.format(day=_day(middling, today), between=_between(early, late, today))
    amount = many("{count} stem", "{count} stems", middle)
    if low != high:
        amount = _("{amount} ({low} to {high})").format(amount=amount, low=f"{low:,}", high=f"{high:,}")
    return f"{said}; {amount}; {none_in_words(none)}."


def none_in_words(none: float) -> str:
    """How often there is no stem: `no stem in 4 seasons of 100`; rounded up, since what is sure is rounded down."""
    count = whole_up(100 * none)
    if not count:
        return _("some stems in every season")
    return many("no stem in {count} season of 100", "no stem in {count} seasons of 100", count)


def no_stems_in_words(sowing: Sowing, why: NoStems) -> str:
    """Why a batch gives no stems."""
    if why is not NoStems.OVERDUE:
        return _(_WHY[why])
    is_sown = sowing.status is BatchStatus.SOWN
    planned = sowing.plant_out_date if is_sown else sowing.sow_date or sowing.plant_out_date
    what = _("planted out") if is_sown else _("started")
    was_to_be = what if planned is None else _("{what} on {day}").format(what=what, day=day_in_words(planned))
    return _(
        "It was to be {what} and nothing was recorded: more than {days} days later it counts for nothing "
        "until you write down what happened."
    ).format(what=was_to_be, days=GRACE_DAYS)


def _between(first: date, last: date, today: date) -> str:
    """Two days in words: `between 2 and 28 June`."""
    if (first.year, first.month) == (last.year, last.month):
        return _("between {first} and {last}").format(first=first.day, last=_day(last, today))
    if first.year == last.year:
        return _("between {first} and {last}").format(first=day_of_month(first), last=_day(last, today))
    return _("between {first} and {last}").format(first=day_of_year(first), last=day_of_year(last))


def _day(found: date, today: date) -> str:
    """A day without its weekday, since it is no appointment: `14 June`, with the year where it is another."""
    return day_of_month(found) if found.year == today.year else day_of_year(found)

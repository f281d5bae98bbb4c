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

_WHY: Mapping[NoStems, str] = {
    NoStems.LOST: "It gives no more stems: it is recorded as lost.",
    NoStems.FINISHED: "It gives no more stems: it is recorded as finished.",
    NoStems.UNDATED: "It counts for nothing until it has a day of sowing or planting.",
    NoStems.BEYOND: "It gives no stems in this growing year or the two after it.",
    NoStems.NO_PLANTS: "It gives no stems: no plant of it is left.",
    NoStems.NEVER_FLOWERS: "It does not come into flower here from this sowing, in any season.",
    NoStems.KILLED_FIRST: "It gives no stems: in every season frost kills it before the first.",
    NoStems.OVER: "It gives no more stems: what it gave is over.",
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
    verb = "First stems came" if late <= today and early == late else "First stems"
    day = verb + (" on " if early == late else " about ") + _day(middling, today)
    spread = "" if early == late else f" ({_between(early, late, today)} in four seasons of five)"
    amount = f"{middle:,} stem{'' if middle == 1 else 's'}" + ("" if low == high else f" ({low:,} to {high:,})")
    return f"{day}{spread}; {amount}; {none_in_words(none)}."


def none_in_words(none: float) -> str:
    """How often there is no stem: `no stem in 4 seasons of 100`; rounded up, since what is sure is rounded down."""
    count = whole_up(100 * none)
    if not count:
        return "some stems in every season"
    return f"no stem in {count} season{'' if count == 1 else 's'} of 100"


def no_stems_in_words(sowing: Sowing, why: NoStems) -> str:
    """Why a batch gives no stems."""
    if why is not NoStems.OVERDUE:
        return _WHY[why]
    is_sown = sowing.status is BatchStatus.SOWN
    planned = sowing.plant_out_date if is_sown else sowing.sow_date or sowing.plant_out_date
    what = "planted out" if is_sown else "started"
    day = "" if planned is None else f" on {day_in_words(planned)}"
    return (
        f"It was to be {what}{day} and nothing was recorded: more than {GRACE_DAYS} days later it counts for nothing"
        " until you write down what happened."
    )


def _between(first: date, last: date, today: date) -> str:
    """Two days in words: `between 2 and 28 June`."""
    if (first.year, first.month) == (last.year, last.month):
        return f"between {first.day} and {_day(last, today)}"
    if first.year == last.year:
        return f"between {first.day} {first:%B} and {_day(last, today)}"
    return f"between {first.day} {first:%B} {first.year} and {last.day} {last:%B} {last.year}"


def _day(found: date, today: date) -> str:
    """A day without its weekday, since it is no appointment: `14 June`, with the year where it is another."""
    return f"{found.day} {found:%B}" + ("" if found.year == today.year else f" {found.year}")

"""Why nothing that is sown closes a gap, in one sentence, and what could be given way to."""

from __future__ import annotations

from haulm.advice.asked_words import asked_in_words
from haulm.advice.options.option import Option
from haulm.advice.options.ranking import closes_for_good
from haulm.advice.shortfalls import Gap
from haulm.language.words import _
from haulm.planning.plan import Plan
from haulm.planning.remedies import remedies
from haulm.planning.sowing_search import products_tried, runs_of


def why_open(plan: Plan, gap: Gap) -> str | None:
    """Why no sowing closes a gap; None where one does, and is worth it."""
    found = remedies(plan, gap)
    sowings = [option for option in found if option.batches]
    closing = [option for option in sowings if closes_for_good(option)]
    if any(option.is_in_proportion for option in closing):
        return None
    if plan.growth.forecast is None or plan.growth.forecast.seasons is None:
        return _no_forecast(plan)
    if closing:
        return _out_of_proportion(closing[0])
    return _of_sowings(plan, gap, found)


def _no_forecast(plan: Plan) -> str:
    """Why nothing is forecast, and what to give."""
    if plan.growth.missing is not None:
        return _(
            "No forecast, since the farm has given no climate: write frost dates or monthly "
            "temperatures into farm.toml, or bring in temperatures.csv."
        )
    return _("No forecast, since the farm has given no kinds or no climate yet: enter them, and look again.")


def _of_sowings(plan: Plan, gap: Gap, found: tuple[Option, ...]) -> str:
    """Why none closes it in its forecast."""
    sowings = [option for option in found if option.batches]
    line = gap.shortfalls[0].line
    asked = asked_in_words(gap.asked, plan.crops)
    last_due = max(short.line.due for short in gap.shortfalls)
    if not runs_of(plan, products_tried(plan, [line]), last_due):
        return _("No sowing in time: {asked} is not sown or planted from today on to flower before it is due.").format(
            asked=asked
        )
    full = next((option for option in found if option.kind == "make_room"), None)
    if full is not None:
        return _("No room: {why}").format(why=f"{full.sentence[0].lower()}{full.sentence[1:]}")
    partial = min((option for option in sowings if option.after is not None), key=_missing, default=None)
    if any(option.kind == "more_of_one" and option.closes for option in found):
        return _("No kind may fill more than half of this choice, and too few flower in time{left}.").format(
            left=_left(partial)
        )
    if line.choice is not None and partial is not None:
        return _("Too few kinds flower in time for this choice{left}.").format(left=_left(partial))
    if partial is not None:
        return _("No sowing flowers early enough for all of it{left}.").format(left=_left(partial))
    return _(
        "No sowing: nothing of {asked} that is sown or planted from today on is in time and worth what it costs."
    ).format(asked=asked)


def _out_of_proportion(option: Option) -> str:
    worth = option.worth
    assert worth is not None, "what is out of proportion has a worth"
    places = sum(batch.places for batch in option.batches)
    return _("No sowing is worth it: {places} places would be needed for about {stems} stems of promises.").format(
        places=places, stems=f"{worth.gained_stems:.0f}"
    )


def _missing(option: Option) -> float:
    assert option.after is not None, "a sowing is proved"
    return option.after.missing


def _left(option: Option | None) -> str:
    if option is None:
        return ""
    return _(": the most that sowings can do leaves {stems} stems missing").format(stems=f"{_missing(option):.0f}")

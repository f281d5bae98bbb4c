"""What counting back has found, in words, and the days that follow from a day of sowing: the same at every door."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulm.advice.room import plant_out_day
from haulm.farm.batches import Batch
from haulm.farm.quantities import percent
from haulm.farm.weeks import day_in_words, near_day_in_words, weeks_in_words
from haulm.forecast.back_plan import Tried, places_needed
from haulm.jobs.desk.names import HOW_WORDS
from haulm.jobs.growing.label_sowings import FROM_TRAYS
from haulm.jobs.growing.plan_back import BackPlanned
from haulm.jobs.growing.tray_days import TrayDays, tray_days
from haulm.language.words import _, many


@dataclass(frozen=True, slots=True)
class BackWay:
    """One day to begin on, and what follows from it.

    Attributes:
        tried: the day, and what a sowing of that day gives.
        places: the places that would do on that day; None where no number would.
        tray: its days in trays; None where it is sown or planted where it stays.
    """

    tried: Tried
    places: int | None
    tray: TrayDays | None

    @property
    def day(self) -> date:
        """The day it is sown; of bought plants and of bulbs the day they are planted."""
        return self.tried.day


def way_of(found: BackPlanned, tried: Tried) -> BackWay:
    """A day that was tried, with the days that follow from it."""
    method, crop = found.asked.method, found.crop
    places = places_needed(tried, places=found.plan.places, stems=found.asked.stems)
    if method not in FROM_TRAYS:
        return BackWay(tried, places, None)
    begun = Batch("count-back", crop.key, method=method, sow_date=tried.day)
    return BackWay(tried, places, tray_days(method, crop, tried.day, plant_out_day(begun, crop, tried.day)))


def said_back(found: BackPlanned) -> str:
    """What was found, in a sentence or two."""
    plan, best = found.plan, found.plan.best
    if best is None:
        said = _("No day from today until {day} is in season to begin it {how}.")
        return said.format(day=day_in_words(found.ready[1]), how=_(HOW_WORDS[found.asked.method]))
    if plan.earliest is not None and plan.latest is not None:
        said = _("{places} started between {first} and {last} give {wanted} at {level}; the best day is {best}.")
        sure = said.format(
            places=_places(plan.places),
            first=day_in_words(plan.earliest.day),
            last=day_in_words(plan.latest.day),
            wanted=_wanted(found),
            level=percent(found.level),
            best=day_in_words(best.day),
        )
        return " ".join((sure, *_fewest(found)))
    said = _("No day gives {wanted} at {level} from {places}; the best day is {best}, {sure} sure.")
    unsure = said.format(
        wanted=_wanted(found),
        level=percent(found.level),
        places=_places(plan.places),
        best=day_in_words(best.day),
        sure=percent(best.confidence),
    )
    if plan.places_needed is not None:
        return " ".join((unsure, *_fewest(found)))
    helps = _(
        "More places would not help: the week of flower is not sure enough; two sowings some days apart are surer."
    )
    return f"{unsure} {helps}"


def ready_in_words(found: BackPlanned) -> str:
    """When the stems have to become ready."""
    first, last = (near_day_in_words(day) for day in found.ready)
    return _("They serve it if they become ready from {first} to {last}.").format(first=first, last=last)


def _wanted(found: BackPlanned) -> str:
    asked = found.asked
    stems = many("{count} stem", "{count} stems", asked.stems)
    if asked.day is not None:
        return _("{stems} for {day}").format(stems=stems, day=day_in_words(asked.day))
    week = _("{week} of {year}").format(week=weeks_in_words((asked.week,)), year=asked.week.year)
    return _("{stems} in {week}").format(stems=stems, week=week)


def _fewest(found: BackPlanned) -> list[str]:
    """The fewest places that would do, where that is known."""
    plan = found.plan
    if plan.places_needed is None or plan.needed_day is None:
        return []
    said = _("{places} started on {day} would do.")
    return [said.format(places=_places(plan.places_needed), day=day_in_words(plan.needed_day))]


def _places(count: int) -> str:
    return many("{count} place", "{count} places", count)

"""Opening the desk over a store, with the clock of the settings; knows nothing of the web, so that it opens quickly."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from haulm.jobs.desk.desk import Desk
from haulm.planning.planner import Planner
from haulm.settings import Settings
from haulm.store.errors import FarmEmpty
from haulm.store.store import Store


def desk_over(store: Store, settings: Settings) -> Desk:
    """The desk of this service: its store, a planner, and the clock of the settings."""
    return Desk(store, Planner(), clock(store, settings), utc_now)


def clock(store: Store, settings: Settings) -> Callable[[], date]:
    """The one clock: the date that stands for today, or the date in the farm's zone now."""

    def today() -> date:
        if settings.today is not None:
            return settings.today
        try:
            zone = ZoneInfo(store.farm().site.timezone)
        except FarmEmpty:
            return utc_now().date()
        return utc_now().astimezone(zone).date()

    return today


def utc_now() -> datetime:
    """The real time, in UTC."""
    return datetime.now(UTC)

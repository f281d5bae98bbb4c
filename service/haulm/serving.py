"""Joining the parts: the desk over a store and its clock, and the server in front of it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo

import uvicorn

from haulm.jobs.desk import Desk
from haulm.planning.planner import Planner
from haulm.rest.app import LOOPBACK_HOSTS, create_app
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


def serve(store: Store, settings: Settings, *, host: str, port: int) -> None:
    """Serve until interrupted; nothing but loopback listens while there are no passwords."""
    app = create_app(desk_over(store, settings), hosts=_hosts(settings))
    uvicorn.run(app, host=host, port=port, log_level="warning", server_header=False)


def _hosts(settings: Settings) -> frozenset[str]:
    public = urlsplit(settings.public_url).hostname if settings.public_url else None
    return LOOPBACK_HOSTS | ({public} if public else frozenset())

"""The REST door as one application: routers, problems, known hosts."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from typing import Any

from fastapi import APIRouter, Depends, FastAPI
from starlette.datastructures import State

from haulm.jobs.desk.desk import Desk
from haulm.rest import (
    after_the_list,
    at_home,
    availability,
    back_plan,
    batch_forecasts,
    bucket_lists,
    calendar,
    combined,
    digest,
    explanations,
    field,
    health,
    honesty,
    hoped_for,
    jobs,
    journal,
    list_prices,
    matches,
    may_promise,
    new_figures,
    next_year,
    outbox,
    outlooks,
    own_figures,
    people,
    piece_decisions,
    quotes,
    replies,
    shortfalls,
    tonight,
    walk,
    warnings,
    what_if,
)
from haulm.rest.collections import collections_router
from haulm.rest.described import description_of
from haulm.rest.statuses import STATUSES
from haulm.web.audience import Audience, check_host_and_origin, only_for, require_audiences
from haulm.web.body_limit import BodyLimit
from haulm.web.idempotency import InFlight
from haulm.web.kept import KeptAnswers, Shelf, require_own_people
from haulm.web.links import Links
from haulm.web.problems import DEFAULT_RESPONSES, answer_problems
from haulm.web.throttle import Throttle

LOOPBACK_HOSTS = frozenset({"localhost", "127.0.0.1", "::1"})
_ROUTED = (
    health,
    availability,
    may_promise,
    matches,
    explanations,
    outlooks,
    shortfalls,
    jobs,
    at_home,
    combined,
    what_if,
    quotes,
    piece_decisions,
    field,
    walk,
    tonight,
    warnings,
    bucket_lists,
    after_the_list,
    replies,
    people,
    digest,
    journal,
    outbox,
    calendar,
    back_plan,
    batch_forecasts,
    own_figures,
    honesty,
    hoped_for,
    new_figures,
    next_year,
    list_prices,
)
_DESCRIPTION = (
    "An order and availability ledger for a small cut-flower grower: what may be promised, what will be short and what "
    "still closes the gap, and what goes into which bucket. Stems are the unit everywhere."
)


def create_app(
    desk: Desk,
    *,
    hosts: frozenset[str] = LOOPBACK_HOSTS,
    more: Sequence[APIRouter] = (),
    secret: str | None = None,
) -> FastAPI:
    """The application over a desk.

    Args:
        desk: the store, the planner and the clock.
        hosts: names under which the service may be asked.
        more: routers of other doors: pages, paper.
        secret: what signs personal links; None: links hold as long as this process.
    """
    app = FastAPI(
        title="Haulm",
        version="1",
        description=_DESCRIPTION,
        responses=DEFAULT_RESPONSES,
        dependencies=[Depends(check_host_and_origin(hosts))],
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
    )
    app.add_middleware(KeptAnswers, hosts=hosts)
    app.add_middleware(BodyLimit)
    for module in _ROUTED:
        app.include_router(module.router)
    app.include_router(collections_router())
    for router in more:
        app.include_router(router)
    answer_problems(app, STATUSES)
    app.openapi = lambda: _described(app)  # type: ignore[method-assign]  # the way the framework documents
    # The framework's own route for the description has no audience.
    anybody = [only_for(Audience.ANYBODY)]
    app.add_api_route("/openapi.json", app.openapi, include_in_schema=False, dependencies=anybody, name="description")
    require_audiences(app.routes)
    require_own_people(app.routes)
    put_behind(app, desk, secret=secret)
    return app


def put_behind(app: FastAPI, desk: Desk, *, secret: str | None = None) -> None:
    """Have an application answer from a desk, and forget whatever it knew of an earlier one."""
    app.state = State(
        {
            "desk": desk,
            "in_flight": InFlight(),
            "links": Links(secret or secrets.token_urlsafe(32), lambda: desk.now()),
            "is_secure": False,
            "shelf": Shelf(),
            "throttle": Throttle(),
            "statuses": STATUSES,
        }
    )


def _described(app: FastAPI) -> dict[str, Any]:
    """The description, put together when it is first asked for."""
    if app.openapi_schema is None:
        app.openapi_schema = description_of(app)
    return app.openapi_schema

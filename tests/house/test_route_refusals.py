"""What each route is described to refuse is what its code can refuse, read from the source."""

import inspect

import pytest
from fastapi import FastAPI
from fastapi.routing import iter_route_contexts

from haulm.errors import HaulmError
from haulm.jobs.farm.change_rows import KEYED
from haulm.paper.site import PAPER_ROUTERS
from haulm.rest.app import create_app
from haulm.rest.route_refusals import refusals_of
from haulm.store.errors import (
    DatabaseNotMigrated,
    DatabaseUnreachable,
    DatabaseUnusable,
    KeyReusedWithOtherBody,
    RowNotAccepted,
    StoreBusy,
)
from haulm.web.refusals import KeyInFlight
from support.desks import desk_over, sqlite_store
from support.farms import grower_folder
from support.raised import Kinds, raised_by

# Every route of a kind may give these; the description adds them.
OF_A_KIND: Kinds = frozenset(
    (
        DatabaseNotMigrated,
        DatabaseUnreachable,
        DatabaseUnusable,
        StoreBusy,
        RowNotAccepted,
        KeyInFlight,
        KeyReusedWithOtherBody,
    )
)
ROWS = tuple(f"/v1/{collection.replace('_', '-')}" for collection in KEYED)


@pytest.fixture(scope="module")
def raised(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Kinds]:
    """What each route of the REST door may end in, by its method and path."""
    store = sqlite_store(tmp_path_factory.mktemp("routes"))
    app: FastAPI = create_app(desk_over(store, grower_folder()), more=PAPER_ROUTERS)
    routes = {
        f"{' '.join(sorted(context.methods or ()))} {context.path}": inspect.unwrap(context.endpoint)
        for context in iter_route_contexts(app.routes)
        if context.path.startswith(("/v1/", "/healthz", "/problems", "/paper"))
    }
    found = raised_by(routes.values())
    store.close()
    return {route: found[endpoint] - OF_A_KIND for route, endpoint in routes.items()}


def is_of_rows(route: str) -> bool:
    """Whether one function serves this route for every collection."""
    return route.partition(" ")[2].removesuffix("/{key}") in ROWS


def names(kinds: Kinds) -> list[str]:
    """Refusals by name, in order."""
    return sorted(kind.__name__ for kind in kinds)


def test_a_route_is_described_to_refuse_what_its_code_refuses(raised: dict[str, Kinds]) -> None:
    single = [route for route in raised if not is_of_rows(route)]

    assert len(single) > 60
    assert {route: names(refusals_of(route)) for route in single} == {route: names(raised[route]) for route in single}


def test_rows_are_described_to_refuse_nothing_that_their_code_does_not(raised: dict[str, Kinds]) -> None:
    of_rows = [route for route in raised if is_of_rows(route)]

    assert len(of_rows) > 50
    assert {route: names(refusals_of(route) - raised[route]) for route in of_rows} == {route: [] for route in of_rows}


def test_what_the_code_of_rows_refuses_some_collection_is_described_to_refuse(raised: dict[str, Kinds]) -> None:
    for method in ("GET", "POST", "PATCH", "DELETE"):
        of_method = [route for route in raised if is_of_rows(route) and route.startswith(method)]
        can = frozenset[type[HaulmError]]().union(*(raised[route] for route in of_method))
        assert names(can) == names(frozenset().union(*(refusals_of(route) for route in of_method))), method

"""Every route says who may call it."""

from pathlib import Path

from haulm.rest.app import create_app
from haulm.web.audience import Audience, audiences
from support.desks import desk_over, sqlite_store
from support.farms import grower_folder

FOR_ANYBODY = {"GET /healthz", "GET /openapi.json", "GET /problems/{code}", "GET /v1/calendar.ics"}


def test_every_route_declares_an_audience_and_few_are_for_anybody(tmp_path: Path) -> None:
    store = sqlite_store(tmp_path)
    declared = audiences(create_app(desk_over(store, grower_folder())).routes)
    store.close()

    assert len(declared) > 40
    assert [name for name, audience in declared.items() if audience is None] == []
    assert {name for name, audience in declared.items() if audience is Audience.ANYBODY} == FOR_ANYBODY

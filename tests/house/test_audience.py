"""Every route says who may call it."""

from pathlib import Path

from haulm.serving import application
from haulm.settings import Settings
from haulm.web.audience import Audience, audiences
from support.desks import desk_over, sqlite_store
from support.farms import grower_folder

FOR_ANYBODY = {
    "GET /healthz",
    "GET /openapi.json",
    "GET /problems/{code}",
    "GET /v1/calendar.ics",
    "GET /static/haulm.css",
    "GET /login",
    "POST /login",
    "POST /logout",
    "GET /no-more-mail/{token}",
    "POST /no-more-mail/{token}",
    "POST /no-more-mail/{token}/again",
}


def test_every_route_declares_an_audience_and_few_are_for_anybody(tmp_path: Path) -> None:
    store = sqlite_store(tmp_path)
    settings = Settings(database_url="", data_dir=tmp_path)
    declared = audiences(application(desk_over(store, grower_folder()), settings).routes)
    store.close()

    assert len(declared) > 40
    assert [name for name, audience in declared.items() if audience is None] == []
    assert {name for name, audience in declared.items() if audience is Audience.ANYBODY} == FOR_ANYBODY

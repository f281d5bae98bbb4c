"""Who is let in: callers on the same computer, under a name the service answers to, from its own pages."""

import pytest

from haulm.rest.app import create_app
from haulm.web.audience import Audience, audiences, require_audiences
from support.door import Door

BED = {"key": "north", "name": "North"}


def test_a_caller_elsewhere_is_nobody_but_may_ask_for_a_sign_of_life(door: Door) -> None:
    with Door(door.desk, caller="192.0.2.7") as elsewhere:
        assert elsewhere.refused(403, "GET", "/v1/match")["type"] == "/problems/not-for-you"
        assert elsewhere.refused(403, "POST", "/v1/beds", json=BED)["audience"] == "owner"
        assert elsewhere.get("/healthz") == {"status": "ok"}
    assert door.get("/v1/beds")["rows"] == []


@pytest.mark.parametrize("caller", ["127.0.0.1", "127.8.8.8", "::1"])
def test_every_loopback_address_is_the_owner(door: Door, caller: str) -> None:
    with Door(door.desk, caller=caller) as other:
        assert other.get("/v1/beds")["rows"] == []


@pytest.mark.parametrize("header", ["Forwarded", "X-Forwarded-For", "X-Forwarded-Proto", "X-Real-IP", "Via"])
def test_behind_a_proxy_nobody_is_the_owner(door: Door, header: str) -> None:
    assert door.refused(403, "GET", "/v1/match", headers={header: "127.0.0.1"})["type"] == "/problems/not-for-you"


@pytest.mark.parametrize("site", ["cross-site", "same-site", "strange"])
def test_a_write_from_another_sites_page_is_refused(door: Door, site: str) -> None:
    problem = door.refused(403, "POST", "/v1/beds", json=BED, headers={"Sec-Fetch-Site": site})

    assert problem["type"] == "/problems/foreign-origin"
    assert door.ask("GET", "/v1/beds", headers={"Sec-Fetch-Site": site}).json()["rows"] == []


@pytest.mark.parametrize(
    "origin", ["https://elsewhere.example", "null", "http://127.0.0.1:3000", "http://localhost", "http://[", ""]
)
def test_a_write_from_another_origin_is_refused(door: Door, origin: str) -> None:
    problem = door.refused(403, "PATCH", "/v1/known-stems/k1", json={"stems": 1}, headers={"Origin": origin})

    assert problem["type"] == "/problems/foreign-origin"


def test_the_services_own_pages_may_write(door: Door) -> None:
    own = {"Origin": "http://127.0.0.1", "Sec-Fetch-Site": "same-origin"}

    assert door.ask("POST", "/v1/beds", json=BED, headers=own).status_code == 201


@pytest.mark.parametrize(
    "host", ["farm.example", "127.0.0.1.elsewhere.example", "", "[::1", "127.0.0.1@elsewhere.example"]
)
def test_another_name_is_refused_even_for_reading(door: Door, host: str) -> None:
    problem = door.refused(421, "GET", "/v1/match", headers={"Host": host})

    assert (problem["type"], problem["found"]) == ("/problems/host-not-listed", host)
    assert door.refused(421, "GET", "/openapi.json", headers={"Host": host})


@pytest.mark.parametrize("host", ["localhost:8000", "[::1]:8000", "LOCALHOST"])
def test_the_port_of_a_name_does_not_matter(door: Door, host: str) -> None:
    assert door.ask("GET", "/healthz", headers={"Host": host}).status_code == 200


def test_a_route_that_declares_no_audience_keeps_the_service_from_starting(door: Door) -> None:
    def secret() -> str:
        return "everybody's"

    app = create_app(door.desk)
    app.add_api_route("/v1/secret", secret, methods=["GET"])

    assert audiences(app.routes)["GET /v1/secret"] is None
    assert audiences(app.routes)["GET /healthz"] is Audience.ANYBODY
    with pytest.raises(AssertionError, match="GET /v1/secret"):
        require_audiences(app.routes)

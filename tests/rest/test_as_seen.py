"""Steps that rest on what was seen: done where it still stands, else refused with what has changed, and done once."""

from datetime import date
from typing import Any

import pytest

from haulm.jobs.florists.florist_links import link_number
from haulm.web.links import Holder, Links
from support.desks import on
from support.door import SECRET, Door
from support.known_farm import PARTY, known_farm

FRIDAY = "2027-06-18"
PIECES = {"pieces": [{"piece": "little jar", "count": 5}]}
JARS: dict[str, Any] = {"date": "2027-06-19", "due": FRIDAY, "palette": "cream", **PIECES}
FEWER = {**JARS, "pieces": [{"piece": "little jar", "count": 3}]}
STEPS: dict[str, dict[str, Any]] = {
    "hold": {"until": FRIDAY},
    "contract": {"deposit_minor": 500},
    "change": {**JARS, "no_substitute": True},
    "anew": {"homes": ["cats"]},
    "final-numbers": {"pieces": [{"piece": "little jar", "count": 4}]},
    "fulfil": {},
    "release": {},
    "cancel": {"reason": "another venue"},
}


@pytest.fixture
def quoted(open_door: Any) -> tuple[Door, str]:
    """A quote of five little jars: its door and its path."""
    door: Door = open_door(known_farm(recipes="piece,role,stems\nlittle jar,texture,3\nlittle jar,accent,1"))
    return door, f"/v1/quotes/{door.post('/v1/quotes', JARS)['id']}"


def tag_of(door: Door, path: str) -> str:
    """The ETag of what a path says."""
    return str(door.ask("GET", path).headers["ETag"])


@pytest.mark.parametrize("step", STEPS)
def test_a_step_of_a_quote_that_changed_meanwhile_says_what_and_does_nothing(
    quoted: tuple[Door, str], step: str
) -> None:
    door, path = quoted
    tag, seen = tag_of(door, path), door.get(path)["figures"]
    door.post(f"{path}/change", FEWER)
    version = door.desk.store.version()

    body, stale = {**STEPS[step], "seen": seen}, {"If-Match": tag}
    problem = door.refused(412, "POST", f"{path}/{step}", json=body, headers=stale)

    assert problem["type"] == "/problems/not-as-seen"
    changes = {one["what"]: (one["was"], one["now"]) for one in problem["changes"]}
    assert changes["Version"] == ("1", "2") and changes["Little jar (pieces)"] == ("5", "3")
    assert changes["Price"] == (seen["Price"], door.get(path)["figures"]["Price"])
    assert "Day" not in changes
    assert problem["etag"] == tag_of(door, path).strip('"')
    assert door.desk.store.version() == version
    # Without what was seen, what is another is named all the same.
    blind = door.refused(412, "POST", f"{path}/{step}", json=STEPS[step], headers=stale)
    assert {"what": "Version", "was": None, "now": "2"} in blind["changes"]


@pytest.mark.parametrize("step", [step for step in STEPS if step != "fulfil"])
def test_a_step_of_a_quote_as_it_was_seen_is_done_and_only_once(quoted: tuple[Door, str], step: str) -> None:
    door, path = quoted
    tag = tag_of(door, path)
    # What else is written does not make it another quote.
    door.post("/v1/beds", {"key": "far", "name": "Far bed", "metres": 4})
    assert tag_of(door, path) == tag

    first = door.post(f"{path}/{step}", STEPS[step], If_Match=tag, Idempotency_Key="tap")
    version = door.desk.store.version()
    assert door.post(f"{path}/{step}", STEPS[step], If_Match=tag, Idempotency_Key="tap") == first
    assert door.desk.store.version() == version
    assert door.refused(412, "POST", f"{path}/{step}", json=STEPS[step], headers={"If-Match": tag})["changes"]


def test_a_contract_is_fulfilled_as_it_was_seen(quoted: tuple[Door, str]) -> None:
    door, path = quoted
    door.post(f"{path}/contract")
    on(door.desk, date(2027, 6, 18))

    assert door.post(f"{path}/fulfil", If_Match=tag_of(door, path))["status"] == "delivered"


@pytest.mark.parametrize("how", [{}, {"If_Match": "*"}])
def test_who_says_nothing_of_what_was_seen_takes_it_as_it_stands(quoted: tuple[Door, str], how: dict[str, str]) -> None:
    door, path = quoted
    door.post(f"{path}/change", FEWER)

    assert door.post(f"{path}/hold", {"until": FRIDAY}, **how)["status"] == "on_hold"


def test_a_hold_that_could_be_contracted_no_more_is_another_quote(quoted: tuple[Door, str]) -> None:
    door, path = quoted
    door.post(f"{path}/hold", {"until": FRIDAY})
    tag, seen = tag_of(door, path), door.get(path)["figures"]
    assert seen["A contract today"] == "could be made" and seen["How sure"] == "100 %"
    door.patch("/v1/known-stems/k1", {"stems": 30})

    problem = door.refused(412, "POST", f"{path}/contract", json={"seen": seen}, headers={"If-Match": tag})
    changes = {one["what"]: one["now"] for one in problem["changes"]}
    assert changes["How sure"] == "0 %"
    assert changes["A contract today"].startswith(("could not be made", "would take below"))


class TestReplies:
    """The grower's word on a florist's answer."""

    @pytest.fixture
    def asking(self, open_door: Any) -> Door:
        """Anna asks for two bunches of love-in-a-mist more, on the Thursday before the bucket day."""
        door: Door = open_door(known_farm(**PARTY))
        on(door.desk, date(2027, 6, 10))
        path = Links(SECRET, door.desk.now).florist_path(Holder("anna", link_number(door.desk, "anna")))
        asks = {"asks": [{"kind": "more", "product": "nigella", "bunches": 2}]}
        door.post(f"/v1/florist/{path.removeprefix('/f/')}/answers", asks)
        return door

    @pytest.mark.parametrize("word", ["accept", "decline"])
    def test_an_answer_that_costs_more_than_was_seen_is_not_judged(self, asking: Door, word: str) -> None:
        (reply,) = asking.get("/v1/replies")["replies"]
        assert reply["figures"]["Accepting it"] == "costs nobody anything"
        asking.patch("/v1/known-stems/k3", {"stems": 5})

        body, tag = {"seen": reply["figures"]}, {"If-Match": f'"{reply["etag"]}"'}
        problem = asking.refused(412, "POST", f"/v1/replies/{reply['id']}/{word}", json=body, headers=tag)

        (change,) = problem["changes"]
        assert (change["what"], change["was"]) == ("Accepting it", "costs nobody anything")
        assert change["now"] == "would be 0 % sure, and 65 % is asked"
        (now,) = asking.get("/v1/replies")["replies"]
        assert now["etag"] == problem["etag"] != reply["etag"]
        asking.post(f"/v1/replies/{reply['id']}/decline", If_Match=now["etag"])
        assert asking.get("/v1/replies")["replies"] == []

    def test_an_answer_as_it_was_seen_is_judged_once(self, asking: Door) -> None:
        (reply,) = asking.get("/v1/replies")["replies"]
        path, tag = f"/v1/replies/{reply['id']}/accept", reply["etag"]

        first = asking.post(path, {}, If_Match=tag, Idempotency_Key="tap")
        assert first == asking.post(path, {}, If_Match=tag, Idempotency_Key="tap") == {"outcomes": ["yes"]}
        problem = asking.refused(412, "POST", path, json={"seen": reply["figures"]}, headers={"If-Match": tag})
        assert {"what": "Your word", "was": "not given yet", "now": "accepted"} in problem["changes"]

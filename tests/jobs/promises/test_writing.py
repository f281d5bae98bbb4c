"""One key, one effect: the same request again gets the first answer, another one under the key is refused."""

import pytest

from haulm.errors import HaulmError
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.writing import Answer, Asked, carry_out
from haulm.store.unit_of_work import UnitOfWork
from support.farms import customer

ASKED = Asked("owner", "POST /v1/customers", "k", "hash")


def new_customer(work: UnitOfWork) -> Answer:
    """A customer whose key tells how many there were."""
    count = len(work.farm.customers)
    work.put(customer(f"c{count}"))
    return Answer(201, {"key": f"c{count}"})


def test_the_same_key_and_body_again_do_nothing_and_answer_as_before(desk: Desk) -> None:
    first = carry_out(desk, ASKED, new_customer)
    version = desk.store.version()

    assert carry_out(desk, ASKED, new_customer) == first == Answer(201, {"key": "c2"})
    assert desk.store.version() == version


def test_without_a_key_each_request_is_done(desk: Desk) -> None:
    asked = Asked("owner", "POST /v1/customers")

    assert [carry_out(desk, asked, new_customer).body["key"] for _ in range(2)] == ["c2", "c3"]


def test_the_same_key_for_another_body_is_refused_and_for_another_asker_or_route_it_is_another_key(desk: Desk) -> None:
    carry_out(desk, ASKED, new_customer)

    with pytest.raises(HaulmError):
        carry_out(desk, Asked("owner", ASKED.route, "k", "other"), new_customer)
    assert carry_out(desk, Asked("anna", ASKED.route, "k", "hash"), new_customer).body == {"key": "c3"}
    assert carry_out(desk, Asked("owner", "POST /v1/others", "k", "hash"), new_customer).body == {"key": "c4"}


def test_what_fails_leaves_no_effect_and_no_answer_under_its_key(desk: Desk) -> None:
    def failing(work: UnitOfWork) -> Answer:
        new_customer(work)
        raise ValueError("on the way")

    version = desk.store.version()
    with pytest.raises(ValueError, match="on the way"):
        carry_out(desk, ASKED, failing)
    assert desk.store.version() == version
    assert carry_out(desk, ASKED, new_customer).body == {"key": "c2"}

"""A request that comes twice is answered once, in the transaction of its effect, and forgotten after thirty days."""

from datetime import UTC, datetime, timedelta

import pytest

from haulm.store.errors import KeyReusedWithOtherBody
from haulm.store.idempotency import StoredAnswer
from haulm.store.store import Store

NOW = datetime(2027, 5, 20, 12, tzinfo=UTC)
ROUTE = "POST /v1/quotes"


def asked(
    store: Store, *, actor: str = "owner", route: str = ROUTE, body: str = "h1", later: timedelta = timedelta()
) -> StoredAnswer | None:
    """The answer kept for a request, as another request finds it."""
    with store.unit_of_work(actor=actor, now=NOW + later) as work:
        return work.answered(route, "k1", body)


@pytest.fixture
def answered(store: Store) -> Store:
    """A store in which one request was answered."""
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.enter("quoted", "orders/q1")
        work.remember(ROUTE, "k1", "h1", StoredAnswer(201, '{"quote":"q1"}'))
        work.save()
    return store


def test_the_same_request_gets_the_same_answer(answered: Store) -> None:
    assert asked(answered) == StoredAnswer(201, '{"quote":"q1"}')


def test_the_key_means_something_for_one_actor_and_route_only(answered: Store) -> None:
    assert asked(answered, actor="florist-7") is None
    assert asked(answered, route="POST /v1/records") is None


def test_a_key_with_another_body_is_refused(answered: Store) -> None:
    with pytest.raises(KeyReusedWithOtherBody, match="'k1'"):
        asked(answered, body="h2")


def test_an_answer_is_kept_for_thirty_days_and_then_dropped(answered: Store) -> None:
    assert asked(answered, later=timedelta(days=29)) is not None
    assert asked(answered, later=timedelta(days=31)) is None
    with answered.unit_of_work(actor="owner", now=NOW + timedelta(days=31)) as work:
        work.remember(ROUTE, "k1", "h2", StoredAnswer(200, "{}"))
        work.save()
    assert asked(answered, body="h2", later=timedelta(days=31)) == StoredAnswer(200, "{}")


def test_an_effect_that_was_not_saved_has_no_answer(store: Store) -> None:
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.enter("quoted", "orders/q1")
        work.remember(ROUTE, "k1", "h1", StoredAnswer(201, "{}"))

    assert asked(store) is None


def test_an_answer_without_an_entry_leaves_the_version_alone(store: Store) -> None:
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.remember(ROUTE, "k1", "h1", StoredAnswer(200, "{}"))
        assert work.save() == 0

    assert asked(store) == StoredAnswer(200, "{}")

"""A word finds kinds, people, orders and sowings by their names, accents and capitals aside."""

from collections.abc import Iterator

import pytest

from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.find_anything import MOST_OF_A_SORT, Hits, find_anything
from haulm.store.store import Store
from support.desks import desk_over, sqlite_store
from support.known_farm import growing_farm


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The farm that grows too little."""
    store: Store = sqlite_store(tmp_path_factory.mktemp("farm"))
    yield desk_over(store, growing_farm())
    store.close()


def sorts(found: tuple[Hits, ...]) -> dict[str, list[str]]:
    """The names that were found, by sort."""
    return {one.sort: [hit.name for hit in one.hits] for one in found}


def test_a_kind_is_found_with_its_sowings_and_leads_to_what_is_short(desk: Desk) -> None:
    found = find_anything(desk, "HARE'S")
    assert sorts(found)["Kinds"] == ["Hare's-tail grass"]
    assert all(name.startswith("Hare's-tail grass") for name in sorts(found)["Sowings"])
    kind = found[0].hits[0]
    assert kind.path.startswith("/short/") and kind.figure.startswith("short from week")


def test_somebody_is_found_with_the_orders_of_theirs(desk: Desk) -> None:
    name = desk.store.farm().customers[0].name
    found = find_anything(desk, name)
    assert sorts(found)["People"] == [name]
    assert all(hit.startswith(name) for hit in sorts(found)["Orders"])


def test_all_words_count_and_their_order_does_not(desk: Desk) -> None:
    assert find_anything(desk, "grass hare") == find_anything(desk, "hare grass") != ()
    assert find_anything(desk, "hare nobody") == ()


@pytest.mark.parametrize("asked", ["", "   ", "zzz"])
def test_no_word_or_a_strange_one_finds_nothing(desk: Desk, asked: str) -> None:
    assert find_anything(desk, asked) == ()


def test_no_sort_is_longer_than_a_screen(desk: Desk) -> None:
    for one in find_anything(desk, "e"):
        assert len(one.hits) <= MOST_OF_A_SORT

"""Many writers at once: every commit counts, versions rise by one, nobody starves, readers see one moment."""

import threading
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime

import pytest

from haulm.farm.snapshot import Farm
from haulm.store.errors import StoreBusy
from haulm.store.fair_queue import FairQueue
from haulm.store.journal import rebuilt_farm
from haulm.store.store import Store
from support import scale
from support.farms import batch, site, variety

NOW = datetime(2027, 5, 20, 12, tzinfo=UTC)
THREADS = 16
COMMITS_EACH = scale.count(4, 100)


def written(store: Store, key: str) -> int:
    """The version that a new batch made."""
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.put(batch(key, plants=len(work.farm.batches)))
        return work.save()


@pytest.fixture
def farm_store(store: Store) -> Store:
    """A store with a farm of one variety."""
    with store.unit_of_work(actor="owner", now=NOW) as work:
        work.replace_farm(Farm(site(), varieties=(variety(),)))
        work.save()
    return store


def test_no_commit_is_lost_and_versions_rise_by_one(farm_store: Store) -> None:
    def commits(thread: int) -> list[int]:
        return [written(farm_store, f"b-{thread}-{n}") for n in range(COMMITS_EACH)]

    with ThreadPoolExecutor(THREADS) as pool:
        versions = [version for own in pool.map(commits, range(THREADS)) for version in own]

    total = THREADS * COMMITS_EACH
    assert sorted(versions) == list(range(2, total + 2))
    assert [row.plants for row in farm_store.farm().batches] == list(range(total))
    assert rebuilt_farm(farm_store.entries()) == farm_store.farm()


def test_two_processes_worth_of_stores_lose_nothing_either(farm_store: Store, url: str) -> None:
    other = Store.open(url)

    def commits(thread: int) -> list[int]:
        mine = (farm_store, other)[thread % 2]
        return [written(mine, f"b-{thread}-{n}") for n in range(COMMITS_EACH)]

    with ThreadPoolExecutor(4) as pool:
        versions = [version for own in pool.map(commits, range(4)) for version in own]

    assert sorted(versions) == list(range(2, 4 * COMMITS_EACH + 2))
    assert farm_store.farm() == other.farm()
    assert [row.plants for row in other.farm().batches] == list(range(4 * COMMITS_EACH))
    other.close()


def test_a_writer_of_another_process_waits_until_the_first_is_done(farm_store: Store, url: str) -> None:
    other = Store.open(url)
    begun = threading.Event()

    def write() -> int:
        with other.unit_of_work(actor="owner", now=NOW) as work:
            begun.set()
            work.put(batch("b2", plants=len(work.farm.batches)))
            return work.save()

    with ThreadPoolExecutor(1) as pool:
        with farm_store.unit_of_work(actor="owner", now=NOW) as work:
            second = pool.submit(write)
            assert not begun.wait(0.3)
            work.put(batch("b1"))
            assert work.save() == 2
        assert second.result() == 3
    assert [row.plants for row in other.farm().batches] == [100, 1]
    other.close()


def test_a_reader_sees_whole_units_of_work_only(farm_store: Store, url: str) -> None:
    reader = Store.open(url)
    done = threading.Event()
    seen: list[int] = []

    def read() -> None:
        while not done.is_set():
            seen.append(len(reader.farm().batches))

    with ThreadPoolExecutor(1) as pool:
        reading = pool.submit(read)
        for pair in range(10):
            with farm_store.unit_of_work(actor="owner", now=NOW) as work:
                work.put(batch(f"a-{pair}"))
                work.put(batch(f"b-{pair}"))
                work.save()
        while not seen or seen[-1] < 20:
            pass
        done.set()
        reading.result()
    reader.close()

    assert all(count % 2 == 0 for count in seen)
    assert seen == sorted(seen)


def test_whoever_asks_first_is_served_first() -> None:
    queue, served = FairQueue(), []
    threads = []

    def take(number: int) -> None:
        with queue.turn(wait_s=10):
            served.append(number)

    with queue.turn(wait_s=10):
        for number in range(20):
            threads.append(threading.Thread(target=take, args=(number,)))
            threads[-1].start()
            while len(queue._waiting) <= number:
                time.sleep(0)
    for thread in threads:
        thread.join()

    assert served == list(range(20))


def test_a_turn_that_does_not_come_is_given_up_and_the_queue_goes_on() -> None:
    queue = FairQueue()

    def wait_in_vain() -> str:
        try:
            with queue.turn(wait_s=0.01):
                return "served"
        except StoreBusy as busy:
            return busy.code

    with ThreadPoolExecutor(1) as pool:
        with queue.turn(wait_s=1):
            assert pool.submit(wait_in_vain).result() == "store-busy"
        assert pool.submit(wait_in_vain).result() == "served"


def test_a_unit_of_work_inside_another_is_a_mistake_not_a_wait(farm_store: Store) -> None:
    with (
        farm_store.unit_of_work(actor="owner", now=NOW),
        pytest.raises(AssertionError, match="inside another"),
        farm_store.unit_of_work(actor="owner", now=NOW),
    ):
        pass

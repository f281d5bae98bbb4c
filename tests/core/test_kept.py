"""Kept answers: worked out once by key, bounded, and carried from version to version where keys are equal."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

from hypothesis import given
from hypothesis import strategies as st

from haulm.kept import Kept, answers, carried

KEYS = st.lists(st.integers(0, 9), max_size=30)


class Answer:
    """Something that is only ever equal to itself."""

    def __init__(self, key: int) -> None:
        self.key = key


@given(KEYS, st.integers(1, 5))
def test_the_last_keys_asked_are_known_and_no_more_than_the_bound(asked: list[int], most: int) -> None:
    kept: Kept[int, Answer] = Kept(most)
    for key in asked:
        assert kept.of(key, lambda key=key: Answer(key)).key == key  # type: ignore[misc]

    last = list(dict.fromkeys(reversed(asked)))
    assert [key for key in range(10) if kept.known(key) is not None] == sorted(last[:most])


def test_an_answer_is_worked_out_once_while_it_is_kept() -> None:
    kept: Kept[str, Answer] = Kept(2)
    first = kept.of("a", lambda: Answer(1))

    assert kept.of("a", lambda: Answer(2)) is first
    assert kept.known("a") is first and kept.known("b") is None


def test_threads_that_ask_at_once_are_given_the_very_same_answer() -> None:
    kept: Kept[str, Answer] = Kept(2)
    together = Barrier(4)

    def work() -> Answer:
        together.wait(timeout=10)
        return Answer(1)

    with ThreadPoolExecutor(4) as threads:
        found = list(threads.map(lambda _: kept.of("a", work), range(4)))

    assert len(set(found)) == 1


def test_a_function_is_asked_once_for_the_same_values_and_again_past_its_bound() -> None:
    asked: list[int] = []

    @answers(2)
    def twice(number: int) -> int:
        asked.append(number)
        return 2 * number

    assert [twice(number) for number in (1, 2, 1, 3, 1, 2)] == [2, 4, 2, 6, 2, 4]
    assert asked == [1, 2, 3, 2]


@given(KEYS, KEYS)
def test_a_version_has_its_own_keys_in_order_and_shares_what_the_one_before_had(
    then: list[int], now: list[int]
) -> None:
    before = carried({}, then, lambda fresh: map(Answer, fresh))
    worked: list[int] = []

    def work(fresh: object) -> map[Answer]:
        assert isinstance(fresh, list)
        worked.extend(fresh)
        return map(Answer, fresh)

    found = carried(before, now, work)

    assert list(found) == list(dict.fromkeys(now))
    assert all(answer.key == key for key, answer in found.items())
    assert all(found[key] is before[key] for key in found if key in before)
    assert worked == [key for key in dict.fromkeys(now) if key not in before]

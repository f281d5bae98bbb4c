"""Answers that are kept so as not to be worked out again, and what each of them depends on.

There are three rules, and a test holds them (`tests/house/test_kept.py`).

- A frozen value may keep what follows from itself alone: `functools.cached_property` of a frozen dataclass.
- What the package's own files say is a constant: `functools.cache` on a function without arguments.
- Every other answer is kept here, under a key that says what it depends on, with a bound.

A key is made of values: days, names, frozen rows; or of objects that are only ever equal to themselves, such as a block
of stems, which the key then holds on to. It is never the number of an object, which another one gets once the first is
let go. From one version of a farm to the next no answer is copied by hand: where the key is equal, so is the answer.

Docs: docs/engineer/kept.md.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from threading import Lock
from typing import Generic, ParamSpec, TypeVar, cast

K = TypeVar("K")
V = TypeVar("V")
P = ParamSpec("P")


def answers(most: int) -> Callable[[Callable[P, V]], Callable[P, V]]:
    """The answers of a function that rests on its arguments alone, by these arguments.

    Args:
        most: how many are kept; the one that was least lately asked for goes first.
    """

    def keeping(work: Callable[P, V]) -> Callable[P, V]:
        return cast(Callable[P, V], lru_cache(maxsize=most)(work))

    return keeping


class Kept(Generic[K, V]):
    """Answers by what they depend on. Safe to ask from several threads: all are given the very same answer."""

    def __init__(self, most: int) -> None:
        """None yet; of more than `most` the one that was least lately asked for goes first."""
        self._most = most
        self._known: OrderedDict[K, V] = OrderedDict()
        self._lock = Lock()

    def of(self, key: K, work: Callable[[], V]) -> V:
        """The answer of a key; worked out where it is not known, and that may depend on nothing but the key."""
        with self._lock:
            if key in self._known:
                self._known.move_to_end(key)
                return self._known[key]
        answer = work()
        with self._lock:
            answer = self._known.setdefault(key, answer)
            while len(self._known) > self._most:
                self._known.popitem(last=False)
            return answer

    def known(self, key: K) -> V | None:
        """The answer of a key where it was worked out already."""
        return self._known.get(key)


def carried(before: Mapping[K, V], keys: Iterable[K], work: Callable[[Sequence[K]], Iterable[V]]) -> dict[K, V]:
    """The answers of one version: those it has in common with the version before are the very same objects.

    As many are kept as the version has keys, and nothing of the version before that it has not itself.

    Args:
        before: the answers of the version before, by what they depend on.
        keys: what the answers of this version depend on.
        work: works out the answers of several keys together, none of them None; each may depend on nothing but its key.
    """
    found = {key: before.get(key) for key in keys}
    fresh = [key for key, answer in found.items() if answer is None]
    found.update(zip(fresh, work(fresh) if fresh else (), strict=True))
    return cast(dict[K, V], found)

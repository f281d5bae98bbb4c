"""Counts with nothing given yet, kept per pool: what a pool looks like to its windows outlasts changes of the lines."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Set
from dataclasses import dataclass

from haulm.matching.agreeable import AgreeableCount
from haulm.matching.counting import Count, exact_count
from haulm.matching.grouping import PoolView, pool_view
from haulm.matching.layered import LayeredCount
from haulm.matching.levels import Layer
from haulm.matching.windows import Acceptance, Window


@dataclass(frozen=True, eq=False)
class Blank:
    """One pool as some windows see it.

    Attributes:
        places: the place of each window among the distinct ones; -1 where it accepts no lot.
        size: how many windows are distinct and accept a lot.
        count: nothing is ever given of it.
        view: the pool, compressed, where a count of one's own is made from that.
    """

    places: Mapping[Window, int]
    size: int
    count: Count
    view: PoolView | None

    def afresh(self) -> Count:
        """A count of one's own to give stems from."""
        if isinstance(self.count, AgreeableCount | LayeredCount):
            return self.count.afresh()
        assert self.view is not None, "kept for counts that cannot be had afresh"
        return exact_count(self.view)

    @property
    def layers(self) -> tuple[Layer, ...] | None:
        """The layers of its windows; None where windows are no intervals."""
        return self.count.layers if isinstance(self.count, AgreeableCount | LayeredCount) else None

    def serves(self, windows: Collection[Window]) -> bool:
        """Whether it counts these windows; others that it knows cost time where windows are no intervals."""
        if not all(window in self.places for window in windows):
            return False
        return self.view is None or len(self.places) == len(set(windows))


class BlankCounts:
    """The blank count of each pool, for all windows that were asked of it so far."""

    def __init__(self, acceptance: Acceptance, known: Mapping[int, Blank] | None = None) -> None:
        """Start with what is known of some pools."""
        self._acceptance = acceptance
        self._known = dict(known or {})

    def after(self, acceptance: Acceptance, changed: Set[int]) -> BlankCounts:
        """The same where some pools, by their places, are others."""
        known = {pool: blank for pool, blank in dict(self._known).items() if pool not in changed}
        return BlankCounts(acceptance, known)

    def of(self, pool: int, windows: Collection[Window]) -> Blank:
        """The blank count of a pool that knows some windows."""
        known = self._known.get(pool)
        if known is None or not known.serves(windows):
            known = self._known[pool] = self._made(pool, windows, known)
        return known

    def _made(self, pool: int, windows: Collection[Window], known: Blank | None) -> Blank:
        if known is not None:
            more = self._blank(pool, (*known.places, *windows))
            if type(more.count) is type(known.count):
                return more
        return self._blank(pool, windows)

    def _blank(self, pool: int, windows: Collection[Window]) -> Blank:
        ordered = sorted(dict.fromkeys(windows), key=lambda window: window.due)
        view = pool_view(self._acceptance.pool(pool), [self._acceptance.mask(pool, window) for window in ordered])
        count = exact_count(view)
        is_copied = isinstance(count, AgreeableCount | LayeredCount)
        places = dict(zip(ordered, view.place, strict=True))
        return Blank(places, len(view.accept), count, None if is_copied else view)

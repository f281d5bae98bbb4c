"""The network that says which stems go where, in one season: plain augmenting paths on whole numbers."""

from __future__ import annotations

from collections.abc import Sequence, Set


class Network:
    """Asks, the places each accepts, and which place serves how much of each.

    Attributes:
        free: stems not given, per place.
        used: per ask, stems taken from each place.
    """

    def __init__(self, options: Sequence[Sequence[int]], stems: Sequence[int]) -> None:
        """Nothing is given.

        Args:
            options: per ask, the places it accepts, best first.
            stems: stems per place.
        """
        self._options = options
        self.free = list(stems)
        self.used: list[dict[int, int]] = [{} for _ in options]
        self._users: list[set[int]] = [set() for _ in stems]

    def copy(self) -> Network:
        """A network that can be changed without changing this one."""
        twin = Network(self._options, self.free)
        twin.used = [dict(item) for item in self.used]
        twin._users = [set(item) for item in self._users]
        return twin

    def push(self, ask: int, wanted: int) -> int:
        """Give an ask up to so many stems while all others keep their number; returns how many it got."""
        left = wanted
        for place in self._options[ask]:
            if left and self.free[place]:
                amount = min(left, self.free[place])
                self._add(ask, place, amount)
                left -= amount
        while left:
            back: dict[int, tuple[int, int]] = {}
            end = self._search(list(self._options[ask]), back)
            if end is None:
                break
            amount = min(left, self.free[end], self._narrowest(end, back))
            self._add(ask, self._reroute(end, back, amount), amount)
            left -= amount
        return wanted - left

    def give_back(self, ask: int, stems: int) -> None:
        """Take so many stems from an ask again; which of its places give them doesn't matter to the numbers."""
        for place, amount in list(self.used[ask].items()):
            self._add(ask, place, -min(stems, amount))
            stems -= min(stems, amount)

    def prefer(self, ask: int, ranked: Sequence[int]) -> None:
        """Move an ask to the best places it can have, place by place, all others keeping their number.

        Args:
            ask: the ask.
            ranked: the places it accepts, best first; it gets the most of the first, then of the second, and so on.
        """
        dead: set[int] = set()
        mine = self.used[ask]
        for rank, best in enumerate(ranked):
            worse: list[int] = [place for place in ranked[rank + 1 :] if place in mine]
            if not worse:
                return
            while worse and best not in dead and self._improve(ask, best, worse, dead):
                worse = [place for place in worse if place in mine]

    def settle(self, ask: int) -> None:
        """Nail down what an ask has; from now on no other ask can push it elsewhere."""
        for place in self.used[ask]:
            self._users[place].discard(ask)

    def tied_up(self, ask: int) -> tuple[set[int], set[int]] | None:
        """The places and other asks that an ask can't get past, or None where it could have more.

        Returns:
            Places without a free stem, and the asks that have stems there: these accept no other place.
        """
        back: dict[int, tuple[int, int]] = {}
        queue = list(self._options[ask])
        if self._search(queue, back) is not None:
            return None
        places = set(queue)
        return places, {user for place in places for user in self._users[place]} - {ask}

    def _search(
        self,
        queue: list[int],
        back: dict[int, tuple[int, int]],
        *,
        ends: Set[int] = frozenset(),
        dead: Set[int] = frozenset(),
    ) -> int | None:
        """Breadth first from the places queued to a free stem or one of `ends`; `back`: place -> (ask, from place)."""
        seen = set(queue) | dead
        for place in queue:
            if self.free[place] or place in ends:
                return place
            for user in self._users[place]:
                for other in self._options[user]:
                    if other not in seen:
                        seen.add(other)
                        back[other] = (user, place)
                        queue.append(other)
        return None

    def _improve(self, ask: int, best: int, worse: list[int], dead: set[int]) -> bool:
        """One move of an ask from a worse place to the best; when there is none, what was searched is dead."""
        mine = self.used[ask]
        for place in mine:
            self._users[place].discard(ask)
        back: dict[int, tuple[int, int]] = {}
        queue = [best]
        end = self._search(queue, back, ends=frozenset(worse), dead=dead)
        for place in mine:
            self._users[place].add(ask)
        if end is None:
            dead.update(queue)
            return False
        source = end if end in worse else worse[-1]
        amount = min(mine[source], self._narrowest(end, back))
        if end not in worse:
            amount = min(amount, self.free[end])
        self._add(ask, source, -amount)
        self._add(ask, self._reroute(end, back, amount), amount)
        return True

    def _narrowest(self, end: int, back: dict[int, tuple[int, int]]) -> int:
        found = 2**62
        while end in back:
            user, before = back[end]
            found = min(found, self.used[user][before])
            end = before
        return found

    def _reroute(self, end: int, back: dict[int, tuple[int, int]], amount: int) -> int:
        """Move everybody along the path one place on; returns the place where stems came free."""
        while end in back:
            user, before = back[end]
            self._add(user, end, amount)
            self._add(user, before, -amount)
            end = before
        return end

    def _add(self, ask: int, place: int, amount: int) -> None:
        mine = self.used[ask]
        mine[place] = mine.get(place, 0) + amount
        self.free[place] -= amount
        if mine[place]:
            self._users[place].add(ask)
        else:
            del mine[place]
            self._users[place].discard(ask)

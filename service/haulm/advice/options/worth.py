"""What an option costs for what it gives: money, place and work, less what is left over of it.

A figure that the farm has not given is a starting figure from memory, and whoever shows it says so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from haulm.advice.options.option import Proof, Worth
from haulm.advice.room import BARE_BED, Room, Stay, bench_stay, metres_needed
from haulm.farm.batches import Batch
from haulm.farm.beds import Bed
from haulm.farm.costs import BED_METRE_WEEK_MINOR, TRAY_WEEK_MINOR, CostRules
from haulm.farm.varieties import Crop
from haulm.farm.words import Method

SURPLUS_SOLD = 0.1
"""The share of its price that a stem brings which nobody has asked for (from memory)."""
_MINUTES_PER_PLACE = {Method.DIRECT: 0.15, Method.PLUGS: 0.3, Method.TUBER: 0.5, Method.HEATED: 0.6, Method.COVER: 0.6}
"""Minutes of sowing, pricking out and planting one place [min] (from memory)."""
_DAYS_PER_WEEK = 7


@dataclass(frozen=True)
class Gains:
    """What a gap's lines are worth, in the order of the gap.

    Attributes:
        stems: stems each asks.
        prices: the price of a stem of each [minor units].
        before: the gap as it is.
        bought: what a stem from another grower costs [minor units].
    """

    stems: tuple[int, ...]
    prices: tuple[float, ...]
    before: Proof
    bought: int = 0

    def worth(
        self, after: Proof, *, spent: float = 0.0, place: float = 0.0, work: float = 0.0, gives: float | None = None
    ) -> Worth:
        """What a way to close the gap is worth.

        Args:
            after: the gap with it.
            spent: money for seed, plants or stems [minor units].
            place: what bed and bench are worth for as long as it takes them [minor units].
            work: what the hours cost [minor units].
            gives: stems it gives in all; None where it gives what is gained and nothing more.
        """
        lacked_less = self.before.missing - after.missing
        surer = sum(
            stems * max(0.0, then - now)
            for stems, now, then in zip(self.stems, self.before.sure, after.sure, strict=True)
        )
        gained = max(lacked_less, surer, 0.0)
        surplus = 0.0 if gives is None else max(0.0, gives - gained)
        sold = SURPLUS_SOLD * min(surplus, float(sum(self.stems)))
        return Worth(
            spent_minor=round(spent),
            place_minor=round(place),
            work_minor=round(work),
            missing_stems=self.before.missing,
            gained_stems=gained,
            gained_minor=round(gained * self.price),
            surplus_stems=round(surplus),
            surplus_minor=round(sold * self.price),
            bought_minor=round(max(lacked_less, 0.0) * self.bought),
        )

    @property
    def price(self) -> float:
        """The price of a stem on the mean of what is asked [minor units]."""
        asked = sum(self.stems)
        return sum(s * p for s, p in zip(self.stems, self.prices, strict=True)) / asked if asked else 0.0


@dataclass(frozen=True)
class Costing:
    """What batches cost on one farm.

    Attributes:
        rules: the farm's own figures.
        seed_minor_per_place: the farm's price of seed for a place, 0 where it says none [minor units].
        crops: every crop by key.
        beds: the beds by key.
    """

    rules: CostRules
    seed_minor_per_place: int
    crops: Mapping[str, Crop]
    beds: Mapping[str, Bed]

    def spent(self, batches: Sequence[Batch]) -> float:
        """Money for seed, plugs or tubers [minor units]."""
        return sum(batch.places * self._each(batch) for batch in batches)

    def place(self, batches: Sequence[Batch], room: Room) -> float:
        """What bed and bench are worth for as long as the batches stand there [minor units]."""
        return sum(self._bed(batch, room) + self._bench(batch) for batch in batches)

    def work(self, batches: Sequence[Batch]) -> float:
        """What the hours of sowing and planting cost; nothing where the farm doesn't say what one costs [minor]."""
        hour = self.rules.work_minor_per_hour or 0
        return sum(batch.places * _MINUTES_PER_PLACE.get(batch.method, 0.0) * hour / 60 for batch in batches)

    def _each(self, batch: Batch) -> float:
        costs = self.crops[batch.variety].costs
        if batch.method is Method.PLUGS:
            return costs.plug_minor if self.rules.plug_minor is None else self.rules.plug_minor
        if batch.method is Method.TUBER:
            return costs.tuber_minor if self.rules.tuber_minor is None else self.rules.tuber_minor
        return self.seed_minor_per_place or costs.seed_minor

    def bed_stay(self, batch: Batch, room: Room) -> Stay | None:
        """Metres that a batch takes or would take, and how long, in whatever bed; None where its days are not known."""
        crop = self.crops[batch.variety]
        dates = room.dates(batch, crop)
        if dates is None:
            return None
        bed = self.beds.get(batch.bed or "", BARE_BED)
        metres = metres_needed(batch.places, crop, bed) if batch.metres is None else batch.metres
        return Stay(batch.bed or "", metres, *dates)

    @property
    def metre_week(self) -> float:
        """What a metre of bed is worth for a week [minor units]."""
        own = self.rules.bed_metre_week_minor
        return BED_METRE_WEEK_MINOR if own is None else own

    def _bed(self, batch: Batch, room: Room) -> float:
        stay = self.bed_stay(batch, room)
        return 0.0 if stay is None else stay.amount * stay_weeks(stay) * self.metre_week

    def _bench(self, batch: Batch) -> float:
        stay = bench_stay(batch, self.crops[batch.variety])
        own = self.rules.tray_week_minor
        return 0.0 if stay is None else stay.amount * stay_weeks(stay) * (TRAY_WEEK_MINOR if own is None else own)


def stay_weeks(stay: Stay) -> float:
    """How long a stay lasts, both days included [weeks]."""
    return max(0, (stay.last - stay.first).days + 1) / _DAYS_PER_WEEK

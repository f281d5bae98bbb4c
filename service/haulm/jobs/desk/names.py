"""What people call the things of a farm: an order, a sowing, a bed, a customer, each by what is known of it.

Keys are for machines. Where two things would be called the same, the reader tells them apart by the table or the page
they stand in, never by a key.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from haulm.farm.batches import Batch
from haulm.farm.orders import Order, OrderLine, StandingLine, StandingOrder
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import day_in_words, near_day_in_words, weeks_in_words
from haulm.farm.words import BatchStatus, Method, OrderKind, Weekday
from haulm.language.words import _, marked

_ORDERS: Mapping[OrderKind, str] = {
    OrderKind.WEDDING: marked("{customer}'s wedding"),
    OrderKind.ONE_OFF: marked("{customer}'s order"),
    OrderKind.STALL: marked("The stall"),
}
_DAYS: Mapping[Weekday, str] = {
    Weekday.MON: marked("Monday"),
    Weekday.TUE: marked("Tuesday"),
    Weekday.WED: marked("Wednesday"),
    Weekday.THU: marked("Thursday"),
    Weekday.FRI: marked("Friday"),
    Weekday.SAT: marked("Saturday"),
    Weekday.SUN: marked("Sunday"),
}
STATUS_WORDS: Mapping[BatchStatus, str] = {
    BatchStatus.PLANNED: marked("to be sown"),
    BatchStatus.SOWN: marked("sown"),
    BatchStatus.PLANTED: marked("planted out"),
    BatchStatus.CUTTING: marked("being cut"),
    BatchStatus.FINISHED: marked("finished"),
    BatchStatus.LOST: marked("lost"),
}

HOW_WORDS: Mapping[Method, str] = {
    Method.HEATED: marked("on a heated bench"),
    Method.COVER: marked("in trays under cover"),
    Method.DIRECT: marked("where they will flower"),
    Method.PLUGS: marked("as young plants that are bought"),
    Method.TUBER: marked("as bulbs, corms or tubers"),
    Method.ESTABLISHED: marked("standing there already"),
}
assert set(HOW_WORDS) == set(Method) and set(STATUS_WORDS) == set(BatchStatus), "every word has its name"


@dataclass(frozen=True)
class Names:
    """The names of one version of a farm."""

    farm: Farm

    def customer(self, key: str) -> str:
        """Who somebody is; the key of one who was erased."""
        return self._customers.get(key) or key

    def kind(self, variety: str) -> str:
        """A variety by its name."""
        return self._kinds.get(variety, variety)

    def bed(self, key: str | None) -> str:
        """A bed by its name; empty for none."""
        return self._beds.get(key, key) if key else ""

    def order(self, key: str) -> str:
        """An order by whose it is: `Perrin and Lio's wedding`, `Quillbeck, every Tuesday, weeks 25 to 27`."""
        found = self._orders.get(key)
        if found is None:
            return key
        return self._standing(found) if isinstance(found, StandingOrder) else self._dated(found)

    def line(self, key: str) -> str:
        """A line by its order and what it asks: `Quillbeck, every Tuesday, weeks 25 to 27: Cosmos`."""
        found = self._lines.get(key)
        if found is None:
            return key
        if found.product is None:
            return self.order(found.order)
        return _("{order}: {kind}").format(order=self.order(found.order), kind=self.kind(found.product.variety))

    def batch(self, key: str) -> str:
        """A sowing by its kind, its day and its bed: `Cosmos sown Tue 20 Apr 2027, Hedge bed`."""
        found = self._batches.get(key)
        return key if found is None else self.of_batch(found)

    def of_batch(self, batch: Batch) -> str:
        """The same of a batch that may not be in the farm yet."""
        bed = self.bed(batch.bed)
        return ", ".join(part for part in (self._begun(batch), bed) if part)

    def since(self, key: str) -> str:
        """Which sowing of its kind one is, where the kind and the bed are plain: `sown Tue 20 Apr`."""
        batch = self._batches.get(key)
        if batch is None or (batch.sow_date or batch.plant_out_date) is None:
            return _("there already")
        if batch.sow_date is None:
            assert batch.plant_out_date is not None, "one of the two days is there"
            return _("planted {day}").format(day=near_day_in_words(batch.plant_out_date))
        return _("sown {day}").format(day=near_day_in_words(batch.sow_date))

    def how(self, batch: Batch) -> str:
        """How a batch is begun, in words."""
        return _(HOW_WORDS[batch.method])

    def status(self, batch: Batch) -> str:
        """Where a batch stands, in a word or two."""
        is_planted = batch.method in (Method.PLUGS, Method.TUBER) and batch.status is BatchStatus.PLANNED
        return _("to be planted") if is_planted else _(STATUS_WORDS[batch.status])

    def _begun(self, batch: Batch) -> str:
        kind = self.kind(batch.variety)
        if batch.sow_date is not None:
            said = _("{kind} to be sown {day}") if batch.status is BatchStatus.PLANNED else _("{kind} sown {day}")
            return said.format(kind=kind, day=day_in_words(batch.sow_date))
        if batch.plant_out_date is not None:
            return _("{kind} planted {day}").format(kind=kind, day=day_in_words(batch.plant_out_date))
        return kind

    def _standing(self, order: StandingOrder) -> str:
        every = _("every {day}") if order.every == 1 else _("every second {day}")
        said = _("{customer}, {every}, {weeks}")
        return said.format(
            customer=self.customer(order.customer),
            every=every.format(day=_(_DAYS[order.weekday])),
            weeks=weeks_in_words((order.first_week, order.last_week)),
        )

    def _dated(self, order: Order) -> str:
        return _(_ORDERS[order.kind]).format(customer=self.customer(order.customer))

    @cached_property
    def _customers(self) -> dict[str, str]:
        return {one.key: one.name for one in self.farm.customers}

    @cached_property
    def _kinds(self) -> dict[str, str]:
        return {one.key: one.name for one in self.farm.varieties}

    @cached_property
    def _beds(self) -> dict[str, str]:
        return {one.key: one.name for one in self.farm.beds}

    @cached_property
    def _batches(self) -> dict[str, Batch]:
        return {one.key: one for one in self.farm.batches}

    @cached_property
    def _lines(self) -> dict[str, OrderLine | StandingLine]:
        found: dict[str, OrderLine | StandingLine] = {one.key: one for one in self.farm.order_lines}
        return found | {one.key: one for one in self.farm.standing_lines}

    @cached_property
    def _orders(self) -> dict[str, Order | StandingOrder]:
        found: dict[str, Order | StandingOrder] = {one.key: one for one in self.farm.orders}
        return found | {one.key: one for one in self.farm.standing_orders}

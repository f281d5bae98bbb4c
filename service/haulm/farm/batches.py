"""Batches: one sowing followed as a unit until it is cleared."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulm.farm.products import Product
from haulm.farm.words import BatchStatus, Form, Method, WinterCover


@dataclass(frozen=True, slots=True)
class Batch:
    """One sowing (or planting) of a variety.

    Units: sown and plants are places (cell, pot, clump, station), never seeds; metres of bed; trays of bench.
    `winter_cover` is what it gets for the winter beside the tunnel its bed may stand in.
    """

    key: str
    variety: str
    sow_date: date | None = None
    method: Method = Method.COVER
    form: Form = Form.FRESH
    sown: int | None = None
    plants: int | None = None
    trays: float | None = None
    tray: str | None = None
    bed: str | None = None
    metres: float | None = None
    plant_out_date: date | None = None
    status: BatchStatus = BatchStatus.PLANNED
    winter_cover: WinterCover = WinterCover.NONE
    lot: str | None = None

    @property
    def is_in_the_ground(self) -> bool:
        """Whether its plants stand where they flower: planted out, or sown where they stay."""
        if self.status in (BatchStatus.PLANTED, BatchStatus.CUTTING):
            return True
        stays = self.method in (Method.DIRECT, Method.ESTABLISHED) or (
            self.method is Method.TUBER and self.plant_out_date is None
        )
        return self.status is BatchStatus.SOWN and stays

    @property
    def is_over(self) -> bool:
        """Whether its own row says that nothing more comes of it: finished, or lost."""
        return self.status in (BatchStatus.FINISHED, BatchStatus.LOST)

    @property
    def product(self) -> Product:
        """The product its stems become."""
        return Product(self.variety, self.form)

    @property
    def most_plants(self) -> int:
        """Plants there can be: as many as are wanted or were planted, else as many as were sown."""
        return self.plants if self.plants is not None else (self.sown or 0)

    @property
    def places(self) -> int:
        """Places sown: as given, else as many as the plants wanted, else none."""
        return self.sown if self.sown is not None else (self.plants or 0)

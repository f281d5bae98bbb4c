"""What is known of a tray past the day by which it should be up."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulm.advice.resow import Resow
from haulm.farm.batches import Batch


@dataclass(frozen=True, slots=True)
class ThinTray:
    """A sown batch past the day by which nine trays in ten are up; `advice` is None where nobody has counted it."""

    batch: Batch
    check_on: date
    up: int | None
    advice: Resow | None

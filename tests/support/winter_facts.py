"""Published winters of single kinds, and what the model makes of them by rules that know no outcome.

A row tells one temperature, seldom that of the crown, and hardly ever how the autumn was. So the rest is read from its
own words by the rules below; they were written with the open rows in sight, and before any row put aside was read.

- A plant frozen in a chamber has that temperature at its crown. Elsewhere it is the air's on the coldest night.
- The ground's month is 16 deg C warmer than that night: what the coldest night of a year lies below its month inland.
- Hardened: by what the chamber's store (3 deg C) calls for; wholly in a winter; else by the ground's month. In flower
  or in bud a plant keeps none of it.
- A kind that the library does not know has the defaults of a perennial, with "annual" in its name of a hardy annual.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from haulm.crop_library.defaults import BY_LIFE_CYCLE
from haulm.crop_library.library import library
from haulm.farm.words import LifeCycle, WinterCover
from haulm.horticulture.winter import Hardiness, Shelter, crown_c, lives_as_crown, survival
from support.open_weather import DATA

COLDEST_BELOW_MONTH_C = 16.0
STORE_C = 3.0
TOLERANCE = 0.1


@dataclass(frozen=True, slots=True)
class WinterFact:
    """A published share alive, and the share that the model gives (None: the row tells no temperature)."""

    key: str
    kind: str
    low: float
    high: float
    given: float | None

    @property
    def misses_by(self) -> float:
        """How far the model's share lies outside the published range; 0 inside it."""
        assert self.given is not None, "a row without a temperature is not scored"
        return max(self.low - self.given, self.given - self.high, 0.0)

    @property
    def is_met(self) -> bool:
        """Whether the model's share is within a tenth of the published range."""
        return self.misses_by <= TOLERANCE


def winter_facts(use: str) -> list[WinterFact]:
    """The rows of one half, `open` or `put_aside`, with what the model gives."""
    with (DATA / "winter_survival.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["use"] == use]
    return [
        WinterFact(row["id"], row["kind"], float(row["survival_low"]), float(row["survival_high"]), _given(row))
        for row in rows
    ]


def _given(row: Mapping[str, str]) -> float | None:
    if not row["temperature_c"]:
        return None
    night_c = float(row["temperature_c"])
    stage, cycle, hardiness = row["stage"], *_kind(row)
    frozen = row["temperature_of"].startswith("frozen")
    ground_c = night_c + COLDEST_BELOW_MONTH_C
    if frozen:
        crown = np.array([[night_c]], np.float32)
    else:
        in_snow = np.array(["snow" in row["cover"]])
        crown = crown_c(
            np.array([[night_c]], np.float32), np.array([[ground_c]], np.float32), _shelter(row), snow=in_snow
        )
    autumn_c = STORE_C if frozen else 0.0 if "yearly minimum" in row["temperature_of"] else ground_c
    hard = min(1.0, max(0.0, (10 - autumn_c) / 10))
    blooms = ("flower" in stage or "bud" in stage) and not lives_as_crown(cycle)
    share = np.array([[0.0 if blooms else 1.0]], np.float32)
    return float(survival(crown, np.array([[hard]], np.float32), hardiness, stage=share)[0])


def _kind(row: Mapping[str, str]) -> tuple[LifeCycle, Hardiness]:
    known = library().get(row["kind"])
    cycle = known.life_cycle if known else LifeCycle.PERENNIAL
    if known is None and "annual" in row["kind"]:
        cycle = LifeCycle.HARDY_ANNUAL
    if known is not None and known.soft_c is not None and known.hardened_c is not None:
        return cycle, Hardiness(known.soft_c, known.hardened_c)
    return cycle, Hardiness(BY_LIFE_CYCLE["soft_c"][cycle], BY_LIFE_CYCLE["hardened_c"][cycle])


def _shelter(row: Mapping[str, str]) -> Shelter:
    """What the words of the cover and the stage say; of two covers the one that keeps the cold out."""
    cover, words = WinterCover.NONE, row["cover"]
    for sign, found in (("row cover", WinterCover.FLEECE), ("fleece", WinterCover.FLEECE)):
        cover = found if sign in words else cover
    for sign, found in (
        ("low cover", WinterCover.LOW_COVER),
        ("low tunnel", WinterCover.LOW_COVER),
        ("mulch", WinterCover.MULCH),
        ("snow", WinterCover.SNOW),
    ):
        cover = found if sign in words else cover
    tunnel = "tunnel" in words.replace("low tunnel", "")
    return Shelter(tunnel, cover, any(sign in row["stage"] for sign in ("tuber", "bulb", "corm")))

"""The days of a sowing from its tray into the ground: up, pricked out, potted on, hardened off, planted out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from haulm.farm.varieties import Crop
from haulm.farm.words import Method
from haulm.jobs.growing.label_sowings import germination_window

_WORTH_POTTING = timedelta(weeks=3)
_PRICKED_OUT_AFTER = timedelta(days=10)


@dataclass(frozen=True, slots=True)
class TrayDays:
    """The days of a sowing in trays.

    Attributes:
        up: the day by which most of it is up.
        prick_out: the day to prick out what was sown close; None where it is planted out as soon.
        pot_on: the day to pot on what has filled its cells; None where planting follows soon.
        harden: the first day of hardening off; None where the kind needs none.
        plant_out: the day it is planted out.
    """

    up: date
    prick_out: date | None
    pot_on: date | None
    harden: date | None
    plant_out: date


def tray_days(method: Method, crop: Crop, sown: date, plant_out: date) -> TrayDays:
    """The days of a sowing that is raised in trays.

    Source: pricking out at the first true leaves, ten days after most is up, and potting on half way between coming up
    and planting out, where that is three weeks or more, are from memory; hardening takes the crop's days.
    """
    up = germination_window(method, crop, sown).usual
    pricked = up + _PRICKED_OUT_AFTER
    hardening = plant_out - timedelta(days=crop.harden_days)
    return TrayDays(
        up,
        pricked if pricked < plant_out else None,
        up + (plant_out - up) / 2 if plant_out - up >= _WORTH_POTTING else None,
        hardening if crop.harden_days and hardening > sown else None,
        plant_out,
    )

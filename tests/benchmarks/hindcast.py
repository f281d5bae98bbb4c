"""The hindcast table: every past year forecast from the other years, by crop type and place. Needs no network.

    python tests/benchmarks/hindcast.py [--every N]

One row for each crop type and truth, then for each place. `--every 3` takes every third year. What the columns and the
truths are: docs/engineer/hindcast.md.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from support.hindcast import KINDS, TRUTHS, Case, Score, bare_score, hindcast, left_out_years, pooled, score, told_score
from support.open_weather import PLACES

WORDS = ("in 80 %", "in 50 %", "width", "CRPS", "weeks", "skill", "pinball")
COLUMNS = f"{'truth':16} {'n':>5} " + " ".join(f"{word:>8}" for word in WORDS)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="Print the hindcast table.")
    parser.add_argument("--every", type=int, default=1, help="take every N-th year")
    every = parser.parse_args().every
    cases = [case for place in PLACES.values() for case in hindcast(place, KINDS, left_out_years(place)[::every])]
    sys.stdout.write("\n".join(table(cases)) + "\n")


def table(cases: list[Case]) -> list[str]:
    """The lines of the table."""
    groups = {kind.type: [case for case in cases if case.type == kind.type] for kind in KINDS}
    groups |= {place.name: [case for case in cases if case.place == place.name] for place in PLACES.values()}
    lines = [f"{'':20} {COLUMNS}"]
    for name, some in {**groups, "all": cases}.items():
        for truth in (truth for truth in TRUTHS if any(truth in case.true_days for case in some)):
            lines.append(line(name, truth, score(some, truth)))
        lines.append(line(name, "all three", pooled(some)))
        lines.append(line(name, "warmth, told so", told_score(some)))
        lines.append(line(name, "weather alone", bare_score(some)))
    return lines


def line(name: str, truth: str, found: Score) -> str:
    """One line of the table."""
    shares = f"{found.covered_80:8.3f} {found.covered_50:8.3f}"
    days = f"{found.width_80:8.1f} {found.crps:8.2f} {found.fixed_error:8.1f}"
    return f"{name:20} {truth:16} {found.cases:5} {shares} {days} {found.skill:8.2f} {found.pinball_skill:8.2f}"


if __name__ == "__main__":
    main()

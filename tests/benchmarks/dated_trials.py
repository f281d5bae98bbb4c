"""The table of published dated trials, each with its source, its climate and the forecast's 95 % interval.

python tests/benchmarks/dated_trials.py
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from support.dated_trials import judged, sites


def main() -> None:
    """Print the table."""
    known = sites()
    found = judged()
    for item in found:
        trial = item.trial
        word = "inside" if item.is_inside else "MISSED"
        sys.stdout.write(f"{word}  {trial.middle}  in {item.low} to {item.high}, median {item.median}: {trial.what}\n")
        sys.stdout.write(f"        {trial.site} ({known[trial.site].weather_from}); {trial.source}\n")
    real = [item for item in found if not item.trial.is_advice]
    sys.stdout.write(f"{sum(item.is_inside for item in real)} of {len(real)} trials inside,")
    sys.stdout.write(f" {sum(item.is_inside for item in found)} of {len(found)} with growers' guides\n")


if __name__ == "__main__":
    main()

"""How much memory the demo farm's plan takes, and how much more the options of all its gaps take.

    python tests/benchmarks/memory.py

As in a server that has been asked about one gap after the other: one plan answers all, and may keep what it worked out.
"""

from __future__ import annotations

import resource
import sys
import time
from datetime import date
from importlib import resources

from haulm.farm_folder.reader import read_folder
from haulm.planning.planner import Planner
from haulm.planning.remedies import remedies

TODAY = date(2027, 3, 15)
LEVEL = 0.8
AIM = 500
BYTES_A_UNIT = 1 if sys.platform == "darwin" else 1024


def main() -> None:
    """Print the peak so far after each step."""
    print(f"{'after':40} {'peak':>8}   {'processor':>9}   aim under {AIM} MB")
    said("the libraries")
    with resources.as_file(resources.files("haulm.demo_farm").joinpath("folder")) as folder:
        plan = Planner().plan(read_folder(folder), TODAY)
    gaps = plan.gaps(LEVEL)
    said("the plan")
    for number, gap in enumerate(gaps, start=1):
        before = time.process_time()
        remedies(plan, gap, LEVEL)
        said(f"the options of gap {number} of {len(gaps)}", time.process_time() - before)


def said(step: str, seconds: float = 0.0) -> None:
    """Print the most memory that this process has held until now [MB], and the step's processor time [s]."""
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * BYTES_A_UNIT / 1e6
    print(f"{step:40} {peak:5.0f} MB   {seconds:7.2f} s", flush=True)


if __name__ == "__main__":
    main()

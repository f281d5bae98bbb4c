"""How much memory a served demo farm takes, and how much more the options of all its gaps take.

    python tests/benchmarks/memory.py

The service runs in a thread of this process and is asked over HTTP about one gap after the other, as a grower would.
"""

from __future__ import annotations

import resource
import sys
import time

from what_if import demo_service

AIM = 500
BYTES_A_UNIT = 1 if sys.platform == "darwin" else 1024


def main() -> None:
    """Print the peak so far after each step."""
    print(f"{'after':40} {'peak':>8}   {'processor':>9}   aim under {AIM} MB")
    said("the libraries")
    with demo_service() as (client, _):
        said("the demo farm in its database")
        gaps = client.get("/v1/shortfalls").raise_for_status().json()["gaps"]
        said("the plan")
        for number, gap in enumerate(gaps, start=1):
            before = time.process_time()
            client.get(f"/v1/gaps/{gap['gap']}/options").raise_for_status()
            said(f"the options of gap {number} of {len(gaps)}", time.process_time() - before)


def said(step: str, seconds: float = 0.0) -> None:
    """Print the most memory that this process has held until now [MB], and the step's processor time [s]."""
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * BYTES_A_UNIT / 1e6
    print(f"{step:40} {peak:5.0f} MB   {seconds:7.2f} s", flush=True)


if __name__ == "__main__":
    main()

"""`haulm-service` with few seasons, in a process of its own: what it does is the same, and rougher.

python -m support.few_seasons demo --once
"""

import sys
from functools import partial

import haulm.opening
import haulm.rehearsal
from haulm.planning.growth import Drawing
from haulm.planning.planner import Planner
from haulm.program import main

SEASONS = 50


def draw_few() -> None:
    """Has the program draw few seasons from now on."""
    haulm.opening.Planner = partial(Planner, Drawing(SEASONS))
    haulm.rehearsal.rehearse = partial(haulm.rehearsal.rehearse, seasons=SEASONS)


if __name__ == "__main__":
    draw_few()
    sys.exit(main())

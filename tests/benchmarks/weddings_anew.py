"""The weddings of the demo farm quoted anew, all seasons: by kind, and by role and palette. Nothing passes or fails.

python tests/benchmarks/weddings_anew.py
"""

from __future__ import annotations

import sys
import tempfile
from importlib import resources
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from haulm.demonstration import DEMO_TODAY
from haulm.farm.quantities import percent
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.import_farm import import_farm
from haulm.opening import utc_now
from haulm.planning.planner import Planner
from haulm.store.store import Store
from support.weddings_anew import Anew, weddings_anew

LEVEL = 0.8


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as place:
        store = Store.open(f"sqlite:///{Path(place) / 'farm.db'}")
        store.migrate()
        with resources.as_file(resources.files("haulm.demo_farm").joinpath("folder")) as folder:
            import_farm(store, folder, replace=False, actor="benchmark", now=utc_now())
        desk = Desk(store, Planner(), lambda: DEMO_TODAY, utc_now)
        for held, words in ((True, "held today"), (False, "contracted on its day")):
            found = weddings_anew(desk, held=held)
            print(f"{words:24} {'event':12} {'by kind':>8} {'by role and palette':>20}")
            for one in found:
                print(
                    f"{one.order:24} {one.event} {percent(one.by_kind):>9} {percent(one.by_role):>20}   {one.largest}"
                )
            by_kind, by_role = (sum(joint >= LEVEL - 1e-9 for joint in joints) for joints in _joints(found))
            print(f"of {len(found)} reach {percent(LEVEL)}:  {by_kind:>22} {by_role:>20}\n")
        store.close()


def _joints(found: list[Anew]) -> tuple[list[float], list[float]]:
    return [one.by_kind for one in found], [one.by_role for one in found]


if __name__ == "__main__":
    main()

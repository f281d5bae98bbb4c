"""The demo farm, read once in a process, and its plan in mid March, drawn and matched once."""

from functools import cache
from importlib import resources

from haulm.farm.snapshot import Farm
from haulm.farm_folder.reader import read_folder
from haulm.planning.growth import Drawing
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from support.planned_farms import TODAY

DEMO_DRAWING = Drawing(seasons=300)
"""Few enough to be quick, and enough for gaps that are no accident of the draw."""


@cache
def demo_farm() -> Farm:
    """The farm of the demo's folder."""
    with resources.as_file(resources.files("haulm.demo_farm").joinpath("folder")) as path:
        return read_folder(path)


@cache
def demo_plan() -> Plan:
    """Its plan; what a test has it work out besides, the next finds worked out."""
    return Planner(DEMO_DRAWING).plan(demo_farm(), TODAY)

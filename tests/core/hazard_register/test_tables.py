"""The register's tables: what is wrong with one is found when it is read."""

from __future__ import annotations

import pytest

from haulm.farm.hazards import Severity
from haulm.farm.words import HazardClass
from haulm.hazard_register.tables import packaged_text, read_register, register

HEAD = "genus,species,class,severity,part,edible,note,sources\n"
ROW = "Aconitum,,poison,3,all,,,S1\n"
NAMES = "name,genus,species\nmonkshood,Aconitum,\n"
SOURCES = "id,citation\nS1,A list of plants\n"


def test_a_sound_register_is_read() -> None:
    found = read_register(HEAD + ROW + "Viola,,none,0,,yes,,S1\n", NAMES, SOURCES)
    (hazard,) = found.hazards["Aconitum"]
    assert (hazard.hazard_class, hazard.severity, hazard.sources) == (HazardClass.POISON, Severity.DANGEROUS, ("S1",))
    assert found.hazards["Viola"] == () and found.edible == {"Viola": frozenset()}


@pytest.mark.parametrize(
    ("rows", "names", "sources"),
    [
        (ROW.replace("poison", "venom"), NAMES, SOURCES),
        (ROW.replace(",3,", ",4,"), NAMES, SOURCES),
        (ROW.replace("all", "bark"), NAMES, SOURCES),
        (ROW.replace("Aconitum", "aconitum"), NAMES, SOURCES),
        (ROW.replace("S1", "S2"), NAMES, SOURCES),
        (ROW.replace("S1", ""), NAMES, SOURCES),
        (ROW.replace("all,,", "all,maybe,"), NAMES, SOURCES),
        (ROW.replace("poison,3", "none,3"), NAMES, SOURCES),
        (ROW + "Viola,,none\n", NAMES, SOURCES),
        (ROW, NAMES.replace("Aconitum", "Viola"), SOURCES),
        (ROW, NAMES.replace("monkshood", ""), SOURCES),
        (ROW, NAMES, "id,name\nS1,A list\n"),
    ],
)
def test_a_fault_in_a_table_is_found(rows: str, names: str, sources: str) -> None:
    with pytest.raises((AssertionError, ValueError)):
        read_register(HEAD + rows, names, sources)


def test_a_genus_is_either_harmless_or_says_how_it_harms() -> None:
    for line in packaged_text("register.csv").splitlines()[1:]:
        genus, species, hazard_class, *_ = line.split(",")
        if hazard_class == "none" and not species:
            assert register().hazards[genus] == (), genus

"""What has no place in any project: one machine's paths, hosts of package registries, unfinished work, addresses."""

import re

import pytest

from support.project_tree import project_files, python_files, text_of

# A letter in square brackets keeps a pattern from finding itself here.
MACHINE_WORDS = {
    "a path of one machine": r"(?:^|[\s\"'=(`])/(?:wor[k]|tm[p]|hom[e]|roo[t]|User[s])/",
    "a host of a package registry": r"pyp[i]\.org|pythonhoste[d]|registry\.npmj[s]|deb\.debia[n]|crate[s]\.io",
}
UNFINISHED = {
    "work put off": r"\bTOD[O]\b|\bFIXM[E]\b|\bXX[X]\b|NotImplementedErro[r]",
    "a check switched off": r"pragma: no cove[r]|# type: ignor[e] *$|pytest\.mark\.(?:ski[p]|xfai[l])\b",
    "a fault swallowed": r"except Exceptio[n]: *pass|excep[t]: *$",
}
ADDRESS = re.compile(r"[\w.+-]+@([\w-]+(?:\.[\w-]+)+)")
# RFC 2606 keeps these for documents and tests: nobody can own them.
NOBODYS_DOMAIN = re.compile(r"(?:.*\.)?(?:example|invalid|test|localhost|example\.(?:com|net|org))")


def places(pattern: str, text: str) -> list[str]:
    """The lines of a text where a pattern is found."""
    return [line.strip() for line in text.splitlines() if re.search(pattern, line)]


@pytest.mark.parametrize("what", MACHINE_WORDS)
def test_no_file_holds(what: str) -> None:
    found = {path: places(MACHINE_WORDS[what], text_of(path)) for path in project_files()}

    assert {path: lines for path, lines in found.items() if lines} == {}


@pytest.mark.parametrize("what", UNFINISHED)
def test_no_code_holds(what: str) -> None:
    found = {path: places(UNFINISHED[what], text_of(path)) for path in python_files()}

    assert {path: lines for path, lines in found.items() if lines} == {}


def test_every_mail_address_belongs_to_nobody() -> None:
    found = {path: ADDRESS.findall(text_of(path)) for path in project_files()}
    owned = {path: [name for name in names if not NOBODYS_DOMAIN.fullmatch(name)] for path, names in found.items()}

    assert {path: names for path, names in owned.items() if names} == {}


def test_the_patterns_find_what_they_are_for() -> None:
    assert places(MACHINE_WORDS["a path of one machine"], "see /" + "home/ann/notes")
    assert places(UNFINISHED["work put off"], "# TO" + "DO later")
    assert not places(MACHINE_WORDS["a path of one machine"], "GET /v1/work/ and docs/home/")

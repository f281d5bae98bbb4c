"""Every kind of entry is on the page of the journal, with what it says and whether it can be taken back."""

import re

from haulm.jobs.journal.kinds import KINDS, QUIET, kind_in_words
from support.page_rows import kind_rows
from support.project_tree import ROOT


def test_the_page_of_the_journal_has_every_kind_as_the_code_has_it() -> None:
    page = (ROOT / "docs" / "reference" / "journal.md").read_text("utf-8")
    assert re.findall(r"^\| `.*$", page, re.M) == kind_rows(), "run tests/support/rows_again.py journal"


def test_a_kind_that_is_never_taken_back_says_why_in_a_sentence() -> None:
    said = {kind.why_not for kind in KINDS.values() if kind.why_not}
    assert len(said) > 5 and all(re.fullmatch(r"[A-Z][^_]+\.", why) for why in said)
    assert all(KINDS[kind].why_not for kind in QUIET)


def test_a_kind_of_another_release_is_said_by_its_name() -> None:
    assert kind_in_words("moon-looked-at") == "Moon looked at"

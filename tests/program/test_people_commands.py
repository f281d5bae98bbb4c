"""Somebody's data by command: printed, erased for good, and one sentence where nobody is called so."""

import json

from support.project_tree import ROOT
from support.service_program import ProgramHere

TWO_FLORISTS = ROOT / "fixtures" / "two-florists"


def test_what_is_kept_is_printed_and_erased(here: ProgramHere) -> None:
    here.hold(TWO_FLORISTS)
    key, name = (TWO_FLORISTS / "customers.csv").read_text("utf-8").splitlines()[1].split(",")[:2]
    before = json.loads(here.done("person", key).out)
    assert (before["key"], before["name"]) == (key, name)

    assert "Erased" in here.done("forget", key).out

    after = json.loads(here.done("person", key).out)
    assert (after["name"], after["email"], after["orders"] != []) == (key, None, before["orders"] != [])
    assert name not in json.dumps(after)


def test_nobody_of_that_key_is_one_sentence(here: ProgramHere) -> None:
    here.hold(TWO_FLORISTS)

    assert "'nobody'" in here.refusal("forget", "nobody")

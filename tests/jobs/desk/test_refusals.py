"""What a refusal says to whoever asked."""

from __future__ import annotations

from haulm.advice.acceptance import NewPromise, verdict
from haulm.advice.floors import Floors
from haulm.jobs.quotes.promise_refused import Judged, PromiseRefused
from support.advice_builders import dated_line, outlook
from support.moments import moment_with
from support.planned_farms import growing_farm, planned


def test_a_refused_promise_tells_those_who_would_fall_from_those_who_would_only_be_less_sure() -> None:
    falls, keeps = (dated_line(key, order=key, promised_confidence=0.8) for key in ("falls", "keeps"))
    new = dated_line("new", order="new")
    before = [outlook(0.95, falls), outlook(0.95, keeps)]
    after = [outlook(0.7, falls), outlook(0.85, keeps), outlook(0.9, new)]

    found = verdict(moment_with(before), moment_with(after), NewPromise("new", 0.8, 0.9), Floors())
    refusal = PromiseRefused(Judged("new", found, planned(growing_farm())))

    common = {"customer": falls.customer, "due": falls.due.isoformat(), "from": 0.95, "floor": 0.8}
    assert refusal.facts["falls"] == [{"line": "falls", "order": "falls", "to": 0.7, **common}]
    assert refusal.facts["displaced"] == [{"line": "keeps", "order": "keeps", "to": 0.85, **common}]

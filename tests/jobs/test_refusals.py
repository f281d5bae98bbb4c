"""What a refusal says to whoever asked."""

from __future__ import annotations

from haulm.advice.acceptance import Levels, verdict
from haulm.jobs.refusals import PromiseRefused
from support.advice_builders import dated_line, outlook


def test_a_refused_promise_tells_those_who_would_fall_from_those_who_would_only_be_less_sure() -> None:
    falls, keeps = (dated_line(key, order=key, promised_confidence=0.8) for key in ("falls", "keeps"))
    new = dated_line("new", order="new")
    before = [outlook(0.95, falls), outlook(0.95, keeps)]
    after = [outlook(0.7, falls), outlook(0.85, keeps), outlook(0.9, new)]

    refusal = PromiseRefused(order="new", verdict=verdict(before, after, "new", 0.9, levels=Levels(0.8, 0.8)))

    common = {"customer": falls.customer, "due": falls.due.isoformat(), "from": 0.95, "floor": 0.8}
    assert refusal.facts["would_fall"] == [{"line": "falls", "order": "falls", "to": 0.7, **common}]
    assert refusal.facts["displaced"] == [{"line": "keeps", "order": "keeps", "to": 0.85, **common}]

"""Confidence in words, as a couple reads it."""

from __future__ import annotations

from haulm.farm.quantities import reaches
from haulm.language.words import marked

EXPECTED_FROM = 0.9
LIKELY_FROM = 0.7
EXPECTED = marked("we expect to have these")
LIKELY = marked("likely")
HOPED_FOR = marked("hoped for")


def certainty(confidence: float) -> str:
    """The words for a confidence 0-1, to be said later: expected from 90 %, likely from 70 %, hoped for below."""
    if reaches(confidence, EXPECTED_FROM):
        return EXPECTED
    return LIKELY if reaches(confidence, LIKELY_FROM) else HOPED_FOR

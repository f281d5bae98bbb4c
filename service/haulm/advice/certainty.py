"""Confidence in words, as a couple reads it."""

from __future__ import annotations

from haulm.farm.quantities import reaches

EXPECTED_FROM = 0.9
LIKELY_FROM = 0.7
EXPECTED = "we expect to have these"
LIKELY = "likely"
HOPED_FOR = "hoped for"


def certainty(confidence: float) -> str:
    """The words for a confidence 0-1: 90 % and more is expected, 70 to 89 % likely, anything below hoped for."""
    if reaches(confidence, EXPECTED_FROM):
        return EXPECTED
    return LIKELY if reaches(confidence, LIKELY_FROM) else HOPED_FOR

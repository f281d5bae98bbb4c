"""Confidence in words, as a couple reads it."""

from __future__ import annotations

EXPECTED_FROM = 0.9
LIKELY_FROM = 0.7
EXPECTED = "we expect to have these"
LIKELY = "likely"
HOPED_FOR = "hoped for"
_SURE = 1e-9
"""Weights add up to 1 only as far as floating point goes."""


def certainty(confidence: float) -> str:
    """The words for a confidence 0-1: 90 % and more is expected, 70 to 89 % likely, anything below hoped for."""
    if confidence >= EXPECTED_FROM - _SURE:
        return EXPECTED
    return LIKELY if confidence >= LIKELY_FROM - _SURE else HOPED_FOR

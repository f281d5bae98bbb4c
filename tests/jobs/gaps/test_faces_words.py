"""Seasons of ten and causes as the grower reads them."""

import pytest

from haulm.jobs.gaps.faces_words import causes_in_words, faces_in_words, marks_in_words
from haulm.matching.reading.causes import Cause, CauseShare
from haulm.matching.reading.faces import Faces


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (
            Faces(160, 0.64, 0.2, 0.16, 90),
            "All 160 in six seasons of ten, a part in two (usually about 90), none in two.",
        ),
        (Faces(160, 1.0, 0.0, 0.0, 0), "All 160 in ten seasons of ten."),
        (
            Faces(160, 0.999, 0.001, 0.0, 80),
            "All 160 in nine seasons of ten, a part in at most one (usually about 80).",
        ),
        (Faces(160, 0.96, 0.03, 0.01, 80), "All 160 in nine seasons of ten, a part or none in at most one."),
        (Faces(1, 0.16, 0.0, 0.84, 0), "The stem in one season of ten, none in nine."),
        (
            Faces(20, 0.04, 0.56, 0.4, 9),
            "All 20 in less than one season of ten, a part in six (usually about 9), none in four.",
        ),
        (Faces(20, 0.0, 0.0, 1.0, 0), "All 20 in no season of ten, none in ten."),
    ],
)
def test_faces_are_said_as_seasons_of_ten(found: Faces, said: str) -> None:
    assert faces_in_words(found) == said
    assert len(marks_in_words(found)) == 10


def test_causes_are_said_with_their_shares_rounded_down_and_their_days() -> None:
    shares = (CauseShare(Cause.LATE, 0.648, 6), CauseShare(Cause.EARLY, 0.348, 1), CauseShare(Cause.FEW, 0.004))

    assert causes_in_words(shares) == (
        "64 %: it comes too late, usually by 6 days",
        "34 %: it is over too early, usually by 1 day",
        "<1 %: there are too few stems, even for this alone",
    )


def test_every_cause_has_words() -> None:
    assert len(set(causes_in_words(CauseShare(cause, 1 / len(Cause)) for cause in Cause))) == len(Cause)

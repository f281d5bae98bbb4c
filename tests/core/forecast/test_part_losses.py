"""Some of a batch's plants lost: what is to come falls by their share, and what was counted keeps what it says."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from haulm.farm.words import BatchStatus
from haulm.forecast.inputs import Evidence, PartLoss, Sowing
from haulm.forecast.supply import forecast
from support.forecast_builders import monthly_climate, setting, sowing

TODAY = date(2027, 7, 20)
BATCH = sowing("2027-04-15", key="b1", status=BatchStatus.PLANTED, sown=None, plants=126)
COUNTED = Evidence(ready_by=date(2027, 7, 10), cut_until=date(2027, 7, 16), cut_so_far=80, left=60)


def stems(batch: Sowing, first: date = TODAY) -> float:
    """Stems of the batch from a day on, on average over the seasons."""
    found = forecast([batch], monthly_climate(), setting(today=TODAY, seasons=500))
    by_length = found.stems_of("b1", first, 120)
    return sum(float((part.sum(axis=0) * found.weights).sum()) for part in by_length.values())


def told(evidence: Evidence, *losses: PartLoss) -> Sowing:
    return replace(BATCH, evidence=replace(evidence, losses=losses))


@pytest.mark.parametrize(
    ("losses", "share"),
    [
        ((PartLoss(TODAY, 30),), 96 / 126),
        ((PartLoss(TODAY, None, 0.25),), 0.75),
        ((PartLoss(TODAY, None, 0.5), PartLoss(TODAY, 33)), 30 / 126),
        ((PartLoss(TODAY, 200),), 0.0),
    ],
)
def test_the_rest_stays(losses: tuple[PartLoss, ...], share: float) -> None:
    assert stems(told(Evidence(), *losses)) == pytest.approx(share * stems(BATCH), rel=0.02, abs=0.5)


def test_a_loss_after_a_count_takes_its_share_of_what_is_left_and_to_come() -> None:
    since = date(2027, 7, 16)
    before, after = stems(told(COUNTED), since), stems(told(COUNTED, PartLoss(TODAY, 63)), since)

    assert before > 60
    assert after == pytest.approx(before / 2, rel=0.02, abs=1)


def test_a_count_made_after_a_loss_is_of_the_plants_that_stayed() -> None:
    early = PartLoss(date(2027, 7, 1), 63)
    now = date(2027, 7, 16)
    plain, lost = stems(told(COUNTED), now), stems(told(COUNTED, early), now)

    # What was counted stands whole; what fewer plants still give is less.
    assert 60 < lost < plain


def test_what_went_over_is_taken_and_stems_that_become_ready_later_are_not() -> None:
    gone = replace(BATCH, evidence=Evidence(gone_until=TODAY, is_part_gone=True))
    tomorrow = TODAY + timedelta(days=1)

    assert stems(gone, tomorrow) == pytest.approx(stems(BATCH, tomorrow), rel=1e-9)
    assert stems(gone, TODAY - timedelta(days=30)) == pytest.approx(stems(gone, tomorrow), rel=1e-9)
    assert stems(BATCH, TODAY - timedelta(days=30)) > stems(BATCH, tomorrow)

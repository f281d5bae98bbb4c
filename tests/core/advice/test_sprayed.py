"""What was sprayed on stems that go out: told by bed, day and what; nothing of other beds, later days or old sprays."""

from __future__ import annotations

from datetime import date

from haulm.advice.sprayed import LABEL_AND_LAW, sprays_on
from haulm.crop_library.library import crop_for
from haulm.farm.batches import Batch
from haulm.farm.beds import Bed, Spray
from haulm.farm.products import Product
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm.sprays import closed_beds
from haulm.farm.varieties import Variety
from haulm.farm.words import BatchStatus, Method

OUT = date(2027, 6, 14)
BEDS = (Bed("north", "North bed"), Bed("south", "South bed"))
PEA, HARE = Variety("sweet_pea", "Sweet pea"), Variety("lagurus", "Bunny tail")
CROPS = {variety.key: crop_for(variety) for variety in (PEA, HARE)}
SOAP = Spray("s1", "south", date(2027, 6, 1), date(2027, 6, 8), "soap against aphids")


def farm(*sprays: Spray, **more: object) -> Farm:
    batch = Batch("b1", "sweet_pea", method=Method.ESTABLISHED, bed="south", status=BatchStatus.CUTTING)
    other = Batch("b2", "lagurus", method=Method.ESTABLISHED, bed="north", status=BatchStatus.CUTTING)
    site = Site(name="Test", latitude=52.0, timezone="Europe/Amsterdam")
    return Farm(site, (PEA, HARE), BEDS, (batch, other), sprays=sprays)


def told(*sprays: Spray, cut: date | None = None, product: str = "sweet_pea") -> tuple[str, ...]:
    return sprays_on(farm(*sprays), CROPS, [(Product.parse(product), cut)], OUT)


def test_a_spray_is_told_with_kind_bed_day_what_and_the_end_of_its_waiting_time() -> None:
    assert told(SOAP) == (
        "Sprayed: Sweet pea in South bed on Tue 1 Jun 2027, soap against aphids; "
        "the label's waiting time ended on Tue 8 Jun 2027.",
        LABEL_AND_LAW,
    )


def test_a_spray_whose_waiting_time_still_runs_says_so() -> None:
    (sentence, _) = told(Spray("s2", "south", date(2027, 6, 12), date(2027, 6, 20)))
    assert "runs, with nothing cut there meanwhile, through Sun 20 Jun 2027" in sentence


def test_other_beds_other_kinds_later_sprays_and_old_ones_are_not_told() -> None:
    assert told(SOAP, product="lagurus") == ()
    assert told(Spray("s3", "north", date(2027, 6, 1), date(2027, 6, 8))) == ()
    assert told(SOAP, cut=date(2027, 5, 30)) == () and told(SOAP, cut=date(2027, 6, 9)) != ()
    assert told(Spray("s4", "south", date(2027, 6, 15), date(2027, 6, 20))) == ()
    assert told(Spray("s5", "south", date(2026, 6, 1), date(2026, 6, 8))) == ()
    assert told() == ()


def test_a_batch_that_was_planted_after_the_spray_was_not_sprayed() -> None:
    batch = Batch("b1", "sweet_pea", sow_date=date(2027, 6, 2), method=Method.DIRECT, bed="south")
    later = Farm(farm().site, (PEA,), BEDS, (batch,), sprays=(SOAP,))
    assert sprays_on(later, CROPS, [(Product.parse("sweet_pea"), None)], OUT) == ()


def test_a_bed_is_closed_from_the_spray_through_its_last_day_the_longest_of_several() -> None:
    longer = Spray("s6", "south", date(2027, 6, 3), date(2027, 6, 12))
    found = farm(SOAP, longer)
    assert [closed_beds(found, day) != () for day in (date(2027, 5, 31), date(2027, 6, 1), date(2027, 6, 12))] == [
        False,
        True,
        True,
    ]
    (closed,) = closed_beds(found, date(2027, 6, 5))
    assert closed.until == date(2027, 6, 12) and "label" in closed.sentence
    assert closed.sentence.startswith("Do not go into South bed: inside a spray's waiting time through Sat 12 Jun 2027")
    assert closed_beds(found, date(2027, 6, 13)) == ()

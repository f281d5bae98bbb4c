"""Beds that a spray closes for a while; the waiting time is the label's, and the farm keeps its last day."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from haulm.farm.beds import Bed
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import day_in_words
from haulm.language.words import _


class ClosedBed(NamedTuple):
    """A bed that is neither walked nor cut, and the last day of that."""

    bed: Bed
    until: date

    @property
    def sentence(self) -> str:
        """What is not to be done, and until when."""
        return _(
            "Do not go into {name}: inside a spray's waiting time through {until}; follow the label "
            "and the law of the place."
        ).format(name=self.bed.name, until=day_in_words(self.until))


def closed_beds(farm: Farm, day: date) -> tuple[ClosedBed, ...]:
    """The beds inside a spray's waiting time on a day, its last day included, in the farm's order."""
    until: dict[str, date] = {}
    for spray in farm.sprays:
        if spray.date <= day <= spray.wait_until:
            until[spray.bed] = max(until.get(spray.bed, spray.wait_until), spray.wait_until)
    return tuple(ClosedBed(bed, until[bed.key]) for bed in farm.beds if bed.key in until)

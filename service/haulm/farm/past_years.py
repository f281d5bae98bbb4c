"""Past years: what a kind or a variety gave in a season that is over, entered as a fact."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from haulm.farm.words import Method


@dataclass(frozen=True, slots=True)
class PastYear:
    """One kind or one variety in one year: its days, and its stems and plants in all.

    Attributes:
        key: the row's own key.
        year: the year of its first cut.
        variety: key of the variety; None where the row is of a whole kind.
        kind: the kind, all its varieties together; None where the row is of one variety.
        sow_date: day the first of it was sown, or planted where it is not sown; None: not known.
        method: how it was grown; None: in the usual way of its kind.
        tunnel: whether it stood in a tunnel.
        first_cut, last_cut: days of the first and the last cut; None: not known.
        stems: stems cut in all, fit for sale [stems]; None: not counted.
        plants: places they came from [places]; None: not counted.
        really: whether it was asked about, and said again.
        note: anything else, such as what kind of year it was.
    """

    key: str
    year: int
    variety: str | None = None
    kind: str | None = None
    sow_date: dt.date | None = None
    method: Method | None = None
    tunnel: bool = False
    first_cut: dt.date | None = None
    last_cut: dt.date | None = None
    stems: int | None = None
    plants: int | None = None
    really: bool = False
    note: str = ""

"""Add a usual sale as last year had it: one tap for one line of a standing order that is over, never by itself."""

from __future__ import annotations

from typing import Any

from haulm.errors import NotFound
from haulm.farm.weeks import Week
from haulm.farm_folder.cells import values_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.gaps.see_usual_sales import as_last_year
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork

_SALES = "usual_sales"


def add_as_last_year(desk: Desk, work: UnitOfWork, line: str) -> Any:
    """The usual sale that a line of last year suggests, entered under a key of its own.

    Raises:
        NotFound: no line of that key suggests one.
    """
    found = next((sale for sale in as_last_year(work.farm, Week.of(desk.today())) if sale.key == line), None)
    if found is None:
        raise NotFound(kind=_("line of last year"), key=line)
    return add_row(desk, work, RowAsked(_SALES, {**values_of(_SALES, found), "key": ""}))

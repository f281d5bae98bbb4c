"""What the pages of rows ask of the jobs: a row put in, changed, ended and taken out, once for each form."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import Request

from haulm.farm.cross_checks import IDENTITIES
from haulm.farm.snapshot import Farm
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.seen import Seen, check_seen
from haulm.jobs.farm.change_rows import PROMISING, RowAsked
from haulm.jobs.farm.correct_record import correct_record, record_standing
from haulm.jobs.farm.keyless_rows import amend_row, enter_row, name_of, row_named
from haulm.jobs.farm.new_keys import new_key
from haulm.jobs.farm.take_out_row import take_out_row
from haulm.pages.doing import Form, carried_out, reason_of
from haulm.pages.rows.forms import asked_by, cells_from, cells_of, row_shown_as, typed_of
from haulm.pages.rows.names import Names
from haulm.pages.rows.page_words import Table
from haulm.pages.rows.widgets import At
from haulm.store.unit_of_work import UnitOfWork

SEEN, TAG = "seen-", "tag"
_RECORDS = "records"


def row_shown(farm: Farm, table: Table, name: str) -> Any:
    """A row by its name in an address, a record as it stands.

    Raises:
        NotFound: there is none.
    """
    return (
        record_standing(farm.records, name) if table.collection == _RECORDS else row_named(farm, table.collection, name)
    )


def entered(request: Request, desk: Desk, table: Table, form: Form) -> str:
    """Put in the row of a form; gives its name in addresses.

    Raises:
        HaulmError: it is refused.
    """

    def act(work: UnitOfWork) -> Mapping[str, object]:
        cells = cells_from(asked_by(table), form, _at(desk, work.farm, table, form))
        values: dict[str, object] = {name: cell for name, cell in cells.items() if cell}
        if table.collection not in IDENTITIES and table.collection != _RECORDS:
            values["key"] = new_key(work.farm, table.collection, values, within=form.get("library") or None)
        if form.get("really"):
            values["really"] = "yes"
        return {"row": name_of(enter_row(desk, work, RowAsked(table.collection, values, reason_of(form))))}

    return str(carried_out(request, form, act, is_judged=table.collection in PROMISING)["row"])


def amended(request: Request, desk: Desk, table: Table, name: str, form: Form) -> str:
    """Change a row by what is another in its form than the row says; gives its name in addresses afterwards.

    Raises:
        NotAsSeen: somebody changed it since the form was shown.
        HaulmError: it is refused.
    """

    def act(work: UnitOfWork) -> Mapping[str, object]:
        row = row_shown(work.farm, table, name)
        at = _at(desk, work.farm, table, form)
        check_seen(work, seen_of(form), lambda _work: row_shown_as(table, row, at))
        asked = asked_by(table)
        # Against what the form would send untouched: a list may come back in another order than it stands.
        untouched = cells_from(asked, typed_of(asked, cells_of(table, row), at), at)
        now = cells_from(asked, form, at)
        values: dict[str, object] = {column: cell for column, cell in now.items() if cell != untouched[column]}
        return {"row": name_of(_amended(desk, work, table, name, form, values)) if values else name}

    return str(carried_out(request, form, act, is_judged=table.collection in PROMISING)["row"])


def _amended(desk: Desk, work: UnitOfWork, table: Table, name: str, form: Form, values: dict[str, object]) -> Any:
    if table.collection == _RECORDS:
        really: dict[str, object] = {"really": "yes"} if form.get("really") else {}
        correct_record(desk, work, name, {**values, **really})
        return row_named(work.changed_farm, _RECORDS, name)
    return amend_row(desk, work, name, RowAsked(table.collection, values, reason_of(form)))


def ended(request: Request, desk: Desk, table: Table, name: str, form: Form) -> None:
    """End a row for good, as its table says.

    Raises:
        HaulmError: it is refused.
    """
    assert table.end is not None, "only what can be ended has the page"
    values: dict[str, object] = {table.end[0]: table.end[1]}
    asked = RowAsked(table.collection, values, reason_of(form))
    carried_out(request, form, lambda work: amend_row(desk, work, name, asked) and None, is_judged=True)


def taken_out(request: Request, desk: Desk, table: Table, name: str, form: Form) -> None:
    """Take a row out with what belongs to it.

    Raises:
        HaulmError: it is refused.
    """

    def act(work: UnitOfWork) -> None:
        take_out_row(desk, work, table.collection, name, override=reason_of(form))

    carried_out(request, form, act, is_judged=table.collection in PROMISING)


def seen_of(form: Form) -> Seen:
    """What a form showed."""
    figures = {name.removeprefix(SEEN): words for name, words in form.items() if name.startswith(SEEN)}
    return Seen(form.get(TAG, ""), figures)


def _at(desk: Desk, farm: Farm, table: Table, form: Form) -> At:
    return At(Names(farm, desk.today()), form.get(table.parent, "") if table.parent else "")

"""What has to be written so that a step is undone: rows, site, promises, postings and floors as they were before."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import Any

from haulm.advice.floors import Guarded, Kept, following
from haulm.farm.edits import Row
from haulm.farm.orders import Customer
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderPart
from haulm.jobs.desk.desk import Desk, settled_by, settled_lines
from haulm.jobs.desk.judging import floor_row
from haulm.planning.plan import Plan
from haulm.planning.settled import Settled
from haulm.store.draft import Draft
from haulm.store.history import PROMISES, SITE, Step, Thing
from haulm.store.journal import FloorRow, Json, Promise, StemPosting, posting_from_json
from haulm.store.rows import COLLECTIONS, noun_from, person_of, site_from_json
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState

_OVER = (PromiseState.RELEASED, PromiseState.LAPSED)
_BY_WAY_OF_A_CONTRACT = (PromiseState.SETTLED, PromiseState.DELIVERED)


def undone_farm(farm: Farm, step: Step) -> Farm:
    """The farm with everything that a step wrote as it was before it, rows in their old order."""
    draft = Draft(farm)
    for (collection, key), write in step.rows.items():
        if write.before is None and draft.found(collection, key) is not None:
            draft.remove(collection, key)
    for thing, write in step.rows.items():
        if write.before is not None:
            draft.put(_noun(farm, thing, write.before))
    site = step.writes.get((SITE, ""))
    if site is not None and site.before is not None:
        draft.write_site(site_from_json(site.before))
    for collection, keys in step.orders.items():
        draft.arrange(collection, _arranged(draft.farm or farm, collection, keys))
    return draft.farm or farm


def write_undone(work: UnitOfWork, step: Step, *, entry: int) -> None:
    """Write what undoes a step, as part of an entry; its floors are for whoever judges.

    Raises:
        StemsNotThere: an account that would give stems back holds fewer.
    """
    for posting in reversed(step.stems):
        work.post(_reversed(posting_from_json(posting), entry), entry=entry)
    _write_rows(work, step, entry)
    site = step.writes.get((SITE, ""))
    if site is not None and site.before is not None:
        work.site(site_from_json(site.before), entry=entry)
    for (what, _place), write in step.writes.items():
        for promise in way_back(write.before, write.after) if what == PROMISES and write.after is not None else ():
            work.promise(promise, entry=entry)


def _write_rows(work: UnitOfWork, step: Step, entry: int) -> None:
    farm = work.changed_farm
    for (collection, key), write in step.rows.items():
        if write.before is None and write.after is not None:
            work.remove(collection, key, entry=entry)
    for thing, write in step.rows.items():
        if write.before is not None and write.before != write.after:
            work.put(_noun(farm, thing, write.before), entry=entry)
    for collection, keys in step.orders.items():
        wanted = _arranged(work.changed_farm, collection, keys)
        if wanted != _keys(work.changed_farm, collection):
            work.arrange(collection, wanted, entry=entry)


def way_back(before: Json | None, after: Json) -> Iterator[Promise]:
    """The records that bring a promise from where it stands back to where it stood: over, or as it was."""
    now = PromiseState(after["state"])
    shared: dict[str, Any] = {"line": after["line"], "due": date.fromisoformat(after["due"]), "order": after["order"]}
    standing = Promise(**shared, state=now, stems=after["stems"])
    if now is PromiseState.DELIVERED:
        yield replace(standing, state=PromiseState.CONTRACTED)
    if now not in _OVER:
        yield replace(standing, state=PromiseState.RELEASED)
    if before is None or PromiseState(before["state"]) in _OVER:
        return
    was = Promise(**{**shared, "order": before["order"]}, state=PromiseState(before["state"]), stems=before["stems"])
    was = replace(was, confidence=before["confidence"])
    if was.state in _BY_WAY_OF_A_CONTRACT:
        yield replace(was, state=PromiseState.CONTRACTED)
    yield was


def settled_after(desk: Desk, work: UnitOfWork, step: Step) -> Settled:
    """What is done with once a step is undone, to be asked when that is written."""
    promises = list(desk.store.promises())
    for (what, _place), write in step.writes.items():
        promises += way_back(write.before, write.after) if what == PROMISES and write.after is not None else ()
    return settled_by(work.stem_balances(), settled_lines(promises))


def floors_before(step: Step, plan: Plan) -> Iterator[FloorRow]:
    """What the book has to keep so that what a step's promises took from floors is owed no more."""
    for now, before in step.floors:
        debt = 0.0 if before is None else float(before["debt"])
        part = OrderPart(now["part"]) if now.get("part") else None
        what = Guarded(now["order"], date.fromisoformat(now["due"]), now["line"], part)
        sure = plan.moment.sure.get(what)
        if debt != now["debt"] and sure is not None:
            yield floor_row(sure, Kept(debt, following(sure, debt)), plan)


def _noun(farm: Farm, thing: Thing, row: Json) -> Row:
    collection, key = thing
    person = None
    if collection == "customers":
        found: Customer | None = next((one for one in farm.customers if one.key == key), None)
        person = None if found is None else person_of(found)
    return noun_from(COLLECTIONS[collection], key, row, person)


def _reversed(posting: StemPosting, entry: int) -> StemPosting:
    return replace(
        posting,
        key=f"undone:{entry}:{posting.key}",
        account_from=posting.account_to,
        account_to=posting.account_from,
    )


def _keys(farm: Farm, collection: str) -> list[str]:
    return [COLLECTIONS[collection].key(row) for row in getattr(farm, collection)]


def _arranged(farm: Farm, collection: str, before: tuple[str, ...]) -> list[str]:
    """The keys of a collection in their order before; what came since stays behind the row it stands behind now."""
    now = _keys(farm, collection)
    known, there = set(before), set(now)
    found = [key for key in before if key in there]
    for place, key in enumerate(now):
        if key not in known:
            found.insert(found.index(now[place - 1]) + 1 if place else 0, key)
    return found

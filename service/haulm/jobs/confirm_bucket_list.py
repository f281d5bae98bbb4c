"""Confirm Monday's bucket list: once, posted to both books, each customer told; frozen from then on."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from haulm.jobs.bucket_lines import AS_DRAFTED, BucketList, Choices
from haulm.jobs.confirmed_lists import CONFIRMED, short_before, short_customers, subject_of
from haulm.jobs.desk import Desk
from haulm.jobs.draft_bucket_list import chosen_of
from haulm.jobs.letters import confirmed_letters
from haulm.jobs.list_prices import PRICED, list_prices
from haulm.jobs.refusals import DatePassed, ListConfirmed, ShortTwice
from haulm.jobs.stems_in_store import bring_in, never_cut, standing_keys
from haulm.matching.which_stems import Source
from haulm.planning.keeping import crops_of
from haulm.planning.settled import pile_name
from haulm.store.journal import Pile, Promise, StemPosting
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account, PromiseState


def confirm_bucket_list(desk: Desk, work: UnitOfWork, day: date, choices: Choices = AS_DRAFTED) -> BucketList:
    """Confirm a list as drafted or as the grower chose, to be posted to both books.

    Args:
        desk: where the work is done.
        work: the unit of work it is part of; writing is left to `post_bucket_list`.
        day: the bucket day.
        choices: what the grower decided.

    Raises:
        NotABucketDay, DatePassed, ListConfirmed: the list cannot be confirmed.
        NotFound, NotAccepted: what is decided of a line does not fit the list.
        ShortTwice: somebody would get too few a second time running, and the grower has not said yes to it.
    """
    plan = desk.plan_of(work.farm)
    draft = chosen_of(desk, plan, day, choices)
    if draft.last < desk.today():
        raise DatePassed(what="Bucket list", found=day, today=desk.today())
    if work.last_entry(CONFIRMED, subject_of(day)) is not None:
        raise ListConfirmed(day=day)
    again = sorted(short_customers(draft.lines) & short_before(desk, day) - choices.acknowledged)
    if again:
        raise ShortTwice(customers=tuple(again))
    return draft


def post_bucket_list(work: UnitOfWork, confirmed: BucketList, body: Mapping[str, Any]) -> None:
    """Write a confirmed list: one entry with the list as it was shown, the two books, and a letter to each customer."""
    seq = work.enter(CONFIRMED, subject_of(confirmed.day), body)
    work.enter(PRICED, subject_of(confirmed.day), list_prices(work.farm, crops_of(work.farm), body))
    store = dict(work.stem_balances())
    for bucket in confirmed.lines:
        line = bucket.line
        if not any(found.state is PromiseState.CONTRACTED for found in work.promises(line.line, line.due)[-1:]):
            level = line.promised_confidence
            made = Promise(line.line, line.due, line.order, PromiseState.CONTRACTED, line.stems, level)
            work.promise(made, entry=seq)
        sent = Promise(line.line, line.due, line.order, PromiseState.DELIVERED, bucket.filled)
        work.promise(sent, entry=seq)
        for source in bucket.sources:
            _pack(work, f"{line.line}:{line.due}", source, seq, store)
        for source in bucket.spare_sources:
            _pack(work, f"{line.line}:{line.due}:spare", source, seq, store)
    for letter in confirmed_letters(work.farm, crops_of(work.farm), confirmed.day, body["customers"]):
        work.send(letter)


def _pack(work: UnitOfWork, line: str, source: Source, entry: int, store: dict[Pile, int]) -> None:
    """Pack the stems of a source: cut stock from the cool store, what still stands straight from the field."""
    pile = Pile(pile_name(source.lot, source.length_cm), source.product, Account.STORE)
    key = f"{line}:{source.product}:{pile.source}"
    start = Account.STORE
    if never_cut(pile.source, standing_keys(work.farm)):
        start = Account.FIELD
    else:
        there = store.get(pile, 0)
        bring_in(work, pile, max(0, source.stems - there), entry=entry, key=f"{key}:in")
        store[pile] = max(0, there - source.stems)
    packed = StemPosting(f"{key}:{start}", pile.product, pile.source, start, Account.PACKED, source.stems)
    work.post(packed, entry=entry)

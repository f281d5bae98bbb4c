"""Confirm Monday's bucket list: once, posted to both books, each customer told; frozen from then on."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from itertools import pairwise
from typing import Any

from haulm.jobs.bucket_lines import AS_DRAFTED, BucketList, Choices
from haulm.jobs.confirmed_lists import CONFIRMED, short_before, short_customers, subject_of
from haulm.jobs.desk import Desk
from haulm.jobs.draft_bucket_list import chosen_of
from haulm.jobs.letters import confirmed_letters
from haulm.jobs.refusals import DatePassed, ListConfirmed, ShortTwice
from haulm.matching.which_stems import Source
from haulm.planning.keeping import crops_of
from haulm.planning.settled import is_from_field, pile_name
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
    """The way of the stems into the bucket: those in the cool store from there, the others through cutting."""
    pile = pile_name(source.lot, source.length_cm)
    kept = Pile(pile, source.product, Account.STORE)
    from_store = min(source.stems, store.get(kept, 0))
    store[kept] = store.get(kept, 0) - from_store
    left = source.stems - from_store
    if from_store:
        key = f"{line}:{source.product}:{pile}:{Account.STORE}:kept"
        work.post(StemPosting(key, source.product, pile, Account.STORE, Account.PACKED, from_store), entry=entry)
    for back in sorted(found for found in store if _is_taken_back(work, found, source)) if left else ():
        taken = min(left, store[back])
        if taken:
            key = f"{line}:{source.product}:{pile}:{back.source}:kept"
            work.post(StemPosting(key, back.product, back.source, Account.STORE, Account.PACKED, taken), entry=entry)
            store[back] -= taken
            left -= taken
    for start, end in pairwise((Account.FIELD, Account.CUT, Account.STORE, Account.PACKED)):
        if left:
            key = f"{line}:{source.product}:{pile}:{start}"
            work.post(StemPosting(key, source.product, pile, start, end, left), entry=entry)


def _is_taken_back(work: UnitOfWork, pile: Pile, source: Source) -> bool:
    """Whether a pile of the store was packed from the field, taken back, and is now counted with the stems of a cut."""
    is_cut = any(record.key == source.lot.key for record in work.farm.records)
    return is_cut and pile.account is Account.STORE and pile.product == source.product and is_from_field(pile.source)

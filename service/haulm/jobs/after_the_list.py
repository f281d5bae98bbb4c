"""After a bucket list: it was delivered, a number was another after all, or something was wrong with the stems."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from haulm.errors import NotAccepted, NotFound
from haulm.farm.limits import TEXT_SENTENCE, is_text
from haulm.jobs.confirmed_lists import CLAIM, CONFIRMED, CORRECTED, subject_of
from haulm.jobs.desk import Desk
from haulm.jobs.draft_bucket_list import not_on_list
from haulm.jobs.list_prices import claim_credit
from haulm.jobs.post_cuts import STEMS_CUT
from haulm.jobs.stems_in_store import bring_in_cut, never_cut, standing_keys, stems_cut
from haulm.planning.plan import Plan
from haulm.planning.seen import first_keys
from haulm.planning.settled import is_from_field
from haulm.store.journal import Entry, Promise, StemPosting, posting_from_json
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account, PromiseState

DELIVERED = "bucket-list-delivered"


@dataclass(frozen=True, slots=True)
class Correction:
    """A line of a confirmed list that got fewer stems after all, its spare counted in."""

    line: str
    due: date
    stems: int
    reason: str


@dataclass(frozen=True, slots=True)
class Claim:
    """What a customer says was wrong.

    Attributes:
        number: its entry.
        line, due: the line it is about.
        customer: whose.
        stems: how many stems.
        reason: what was wrong.
        credit_minor: what is credited [minor units].
        on: when it was written down.
        batches: the batches that the stems can have come from, as far as the book of stems tells.
    """

    number: int
    line: str
    due: date
    customer: str
    stems: int
    reason: str
    credit_minor: int
    on: date
    batches: tuple[str, ...]


def correct_list(desk: Desk, work: UnitOfWork, day: date, correction: Correction) -> None:
    """Take stems of a confirmed line back, spare first; what was written stays, this corrects it.

    Cut stems are back in the cool store. What was packed straight from the field stands there again, but for stems
    whose cut was written down since and that no other line has: these are in the store.

    Raises:
        NotFound: there is no such list, or no such line on it.
        NotAccepted: the round was made, the number is not below what was sent, or no reason is given.
    """
    entry = _list_entry(work, day)
    if work.last_entry(DELIVERED, subject_of(day)) is not None:
        raise NotAccepted(
            where="bucket list", found=f"{day}, which was delivered", accepted="a claim, for what was wrong"
        )
    line = _line_of(entry, correction.line, correction.due)
    packed = _packed(work, entry, correction.line, correction.due)
    there = sum(posting.stems for posting in packed)
    if not 0 <= correction.stems < there:
        raise NotAccepted(where="stems", found=str(correction.stems), accepted=f"0 to {there - 1}, less than was sent")
    _require_reason(correction.reason)
    facts = {"line": correction.line, "due": correction.due.isoformat(), "stems": correction.stems}
    facts |= {"was": there, "reason": correction.reason.strip(), "customer": line["customer"]}
    seq = work.enter(CORRECTED, subject_of(day), facts, corrects=entry.seq)
    _take_back(work, packed, there - correction.stems, seq)
    order, asked = str(line["order"]), int(line["asked"])
    again = Promise(correction.line, correction.due, order, PromiseState.CONTRACTED, asked)
    work.promise(again, entry=seq)
    # Spare is taken back first and is no part of the promise.
    own = min(correction.stems, int(line["filled"]))
    sent = Promise(correction.line, correction.due, order, PromiseState.DELIVERED, own)
    work.promise(sent, entry=seq)


def _take_back(work: UnitOfWork, packed: Sequence[StemPosting], stems: int, seq: int) -> None:
    """Post packed stems back, the last packed first: to the store what came from it, to the field what stood there."""
    before = stems_cut(work.farm, work.stem_balances())
    standing = standing_keys(work.farm)
    for posting in reversed(packed):
        taken = min(stems, posting.stems)
        if taken:
            is_cut = posting.account_from is Account.STORE and not never_cut(posting.source, standing)
            to = Account.STORE if is_cut else Account.FIELD
            key = f"{posting.key}:back:{seq}"
            work.post(StemPosting(key, posting.product, posting.source, Account.PACKED, to, taken), entry=seq)
        stems -= taken
    bring_in_cut(work, before, entry=seq)


def deliver_list(work: UnitOfWork, day: date) -> int:
    """Write down that the round was made: what was packed has been delivered; gives the stems.

    Raises:
        NotFound: there is no such list.
        NotAccepted: it was delivered before.
    """
    entry = _list_entry(work, day)
    if work.last_entry(DELIVERED, subject_of(day)) is not None:
        raise NotAccepted(
            where="bucket list", found=f"{day}, which was delivered", accepted="a list that is still packed"
        )
    seq = work.enter(DELIVERED, subject_of(day))
    stems = 0
    for line in lines_of(entry.facts):
        for posting in _packed(work, entry, line["line"], date.fromisoformat(line["due"])):
            key = f"{posting.key}:out"
            work.post(
                StemPosting(key, posting.product, posting.source, Account.PACKED, Account.DELIVERED, posting.stems),
                entry=seq,
            )
            stems += posting.stems
    return stems


def make_claim(desk: Desk, work: UnitOfWork, claim: Correction, credit_minor: int | None = None) -> int:
    """Write down what a customer says was wrong with the stems of a line; gives the claim's number.

    Without a credit named, what the stems cost is credited.

    Raises:
        NotFound: no confirmed list has such a line.
        NotAccepted: no or too many stems, a credit below nought, or no reason.
    """
    entry = next((found for found in work.entries_of(CONFIRMED) if _has(found, claim.line, claim.due)), None)
    if entry is None:
        raise NotFound(kind=f"line due {claim.due} on a confirmed list", key=claim.line)
    line = _line_of(entry, claim.line, claim.due)
    packed = _packed(work, entry, claim.line, claim.due)
    sent = sum(posting.stems for posting in packed)
    claimed = _claimed_before(work, claim)
    if not 1 <= claim.stems <= sent - claimed:
        accepted = f"1 to {sent - claimed}, what was sent" if claimed < sent else "no more: all of it is claimed"
        raise NotAccepted(where="stems", found=str(claim.stems), accepted=accepted + _besides(claimed))
    if credit_minor is None:
        credit_minor = claim_credit(work, entry, packed, claim.stems, claimed=claimed)
    if credit_minor < 0:
        raise NotAccepted(where="credit_minor", found=str(credit_minor), accepted="0 or more")
    _require_reason(claim.reason)
    piles = sorted({(str(posting.product), posting.source) for posting in packed})
    facts: dict[str, Any] = {"line": claim.line, "due": claim.due.isoformat(), "customer": line["customer"]}
    facts |= {"stems": claim.stems, "reason": claim.reason.strip(), "credit_minor": credit_minor}
    return work.enter(CLAIM, f"lines/{claim.line}", {**facts, "piles": piles, "on": desk.today().isoformat()})


def _claimed_before(work: UnitOfWork, claim: Correction) -> int:
    """Stems of the same line and day that were claimed before."""
    before = (found.facts for found in work.entries_of(CLAIM, about=f"lines/{claim.line}"))
    return sum(int(facts["stems"]) for facts in before if facts["due"] == claim.due.isoformat())


def _besides(claimed: int) -> str:
    return f", besides {claimed} claimed before" if claimed else ""


def claims(desk: Desk) -> tuple[Claim, ...]:
    """Every claim, newest first, with the batches it leads back to."""
    plan = desk.plan()
    cuts = _cuts_of_packed(desk, plan)
    batches = _batches_by_record(plan)
    return tuple(
        Claim(
            entry.seq,
            entry.facts["line"],
            date.fromisoformat(entry.facts["due"]),
            entry.facts["customer"],
            entry.facts["stems"],
            entry.facts["reason"],
            entry.facts["credit_minor"],
            date.fromisoformat(entry.facts["on"]),
            _led_back(plan, entry.facts, cuts, batches),
        )
        for entry in reversed(desk.store.entries_of(CLAIM))
    )


def _batches_by_record(plan: Plan) -> dict[str, list[str]]:
    """The batches that each record of a cut speaks of, by the record's first key."""
    first = first_keys(plan.farm.records)
    found: dict[str, list[str]] = {}
    for batch, records in plan.growth.seen.told_by.items():
        for key in records:
            found.setdefault(first.get(key, key), []).append(batch)
    return found


def _cuts_of_packed(desk: Desk, plan: Plan) -> list[tuple[str, str, str]]:
    """Cuts written down after a list had packed their stems: product, day and record."""
    days = {record.key: record.date.isoformat() for record in plan.farm.records}
    found = ((entry.facts, entry.subject.partition("/")[2]) for entry in desk.store.entries_of(STEMS_CUT))
    return [(facts["product"], days[key], key) for facts, key in found if facts["packed_before"] and key in days]


def _led_back(
    plan: Plan, claim: Mapping[str, Any], cuts: list[tuple[str, str, str]], batches: Mapping[str, list[str]]
) -> tuple[str, ...]:
    """The batches of the cuts a line was packed from; of stems whose cut is not known, the batches they stood in."""
    found: set[str] = set()
    for product, source in claim["piles"]:
        if not is_from_field(source):
            found.update(batches.get(source, [source]))
            continue
        ready = source.partition(":")[2].partition(".")[0]
        own = [key for cut, day, key in cuts if cut == product and ready <= day <= claim["due"]]
        traced = {batch for key in own for batch in batches.get(key, [])}
        found |= traced or {batch.key for batch in plan.growth.seen.batches if str(batch.product) == product}
    return tuple(sorted(found))


def _require_reason(reason: str) -> None:
    if not reason.strip():
        raise NotAccepted(where="reason", found="nothing", accepted="what was wrong, in a few words")
    if not is_text(reason.strip()):
        raise NotAccepted(where="reason", found="other text", accepted=TEXT_SENTENCE)


def lines_of(facts: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    """The lines of a confirmed list, each with its customer."""
    customers: Sequence[Mapping[str, Any]] = facts.get("customers", ())
    for customer in customers:
        for line in customer["lines"]:
            yield {**line, "customer": customer["customer"]}


def _list_entry(work: UnitOfWork, day: date) -> Entry:
    entry = work.last_entry(CONFIRMED, subject_of(day))
    if entry is None:
        raise NotFound(kind="confirmed bucket list", key=str(day))
    return entry


def _has(entry: Entry, line: str, due: date) -> bool:
    return any((found["line"], found["due"]) == (line, due.isoformat()) for found in lines_of(entry.facts))


def _line_of(entry: Entry, line: str, due: date) -> Mapping[str, Any]:
    found = next((one for one in lines_of(entry.facts) if (one["line"], one["due"]) == (line, due.isoformat())), None)
    if found is None:
        raise not_on_list(line, due)
    return found


def _packed(work: UnitOfWork, entry: Entry, line: str, due: date) -> list[StemPosting]:
    """What of a line is packed, with what later corrections took back left out."""
    start = f"{line}:{due}:"
    packed = [
        posting
        for posting in map(posting_from_json, entry.body.get("stems", ()))
        if posting.key.startswith(start) and posting.account_to is Account.PACKED
    ]
    back: dict[str, int] = {}
    for later in work.entries_of(CORRECTED, about=entry.subject):
        for posting in map(posting_from_json, later.body.get("stems", ())):
            name = posting.key.rpartition(":back:")[0]
            back[name] = back.get(name, 0) + posting.stems
    kept = [(posting, posting.stems - back.get(posting.key, 0)) for posting in packed]
    return [
        StemPosting(one.key, one.product, one.source, one.account_from, one.account_to, stems)
        for one, stems in kept
        if stems > 0
    ]

"""After a delivery: what a customer says was wrong with the stems, led back to the batches they came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from haulm.errors import NotAccepted, NotFound
from haulm.evidence.seen import first_keys
from haulm.jobs.bucket_day.confirmed_lists import CLAIM, OF_SETTLED, claimed_stems, claims_about, settled_deliveries
from haulm.jobs.bucket_day.correct_list import require_reason
from haulm.jobs.bucket_day.list_prices import claim_credit
from haulm.jobs.bucket_day.packed_stems import packed_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.post_cuts import STEMS_CUT
from haulm.language.words import _
from haulm.planning.plan import Plan
from haulm.planning.settled import is_from_field
from haulm.store.unit_of_work import UnitOfWork


@dataclass(frozen=True, slots=True)
class Claimed:
    """What a customer says: the line, the day its stems left, how many stems are wrong, and how."""

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


def make_claim(desk: Desk, work: UnitOfWork, claim: Claimed, credit_minor: int | None = None) -> int:
    """Write down what a customer says was wrong with the stems of a line; gives the claim's number.

    Without a credit named, what the stems cost is credited.

    Raises:
        NotFound: no settled delivery has such a line.
        NotAccepted: no or too many stems, a credit below nought, or no reason.
    """
    settled = settled_deliveries(work.entries_of(*OF_SETTLED)).values()
    own = (one for one in settled if one.due == claim.due and any(line["line"] == claim.line for line in one.lines))
    delivery = next(own, None)
    if delivery is None:
        raise NotFound(kind=_("line due {due} that was settled").format(due=claim.due), key=claim.line)
    packed = packed_of(work, delivery.day, claim.line, claim.due)
    sent = sum(one.stems for one in packed)
    claimed = claimed_stems(work.entries_of(CLAIM, about=claims_about(claim.line)), claim.due)
    if not 1 <= claim.stems <= sent - claimed:
        accepted = (
            _("1 to {count}, what was sent").format(count=sent - claimed)
            if claimed < sent
            else _("no more: all of it is claimed")
        )
        raise NotAccepted(where="stems", found=str(claim.stems), accepted=accepted + _besides(claimed))
    if credit_minor is None:
        credit_minor = claim_credit(work, delivery, claim.line, packed, (claim.stems, claimed))
    if credit_minor < 0:
        raise NotAccepted(where="credit_minor", found=str(credit_minor), accepted=_("0 or more"))
    require_reason(claim.reason)
    piles = sorted({(str(one.product), one.source) for one in packed})
    facts: dict[str, Any] = {"line": claim.line, "due": claim.due.isoformat(), "customer": delivery.customer}
    facts |= {"stems": claim.stems, "reason": claim.reason.strip(), "credit_minor": credit_minor}
    return work.enter(CLAIM, claims_about(claim.line), {**facts, "piles": piles, "on": desk.today().isoformat()})


def _besides(claimed: int) -> str:
    return _(", besides {claimed} claimed before").format(claimed=claimed) if claimed else ""


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

"""Before the van leaves: a settled line gets another number of stems, up or down, and why; or all is taken back."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from haulm.advice.pricing import answering
from haulm.errors import NotAccepted, NotFound
from haulm.farm.limits import TEXT_SENTENCE, is_text
from haulm.farm.orders import OrderLine, StandingLine
from haulm.farm.products import Choice, Product
from haulm.farm.records import KnownStems
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.words import Form, RecordKind
from haulm.jobs.bucket_day.bucket_lines import DeliveryKey
from haulm.jobs.bucket_day.confirmed_lists import (
    CLAIM,
    CORRECTED,
    OF_SETTLED,
    TAKEN_BACK,
    SettledDelivery,
    claimed_stems,
    claims_about,
    corrected,
    settled_deliveries,
    subject_of,
)
from haulm.jobs.bucket_day.draft_bucket_list import not_on_list
from haulm.jobs.bucket_day.packed_stems import PackedStems, line_with, packed_of, posting_key
from haulm.jobs.bucket_day.reasons import Reason
from haulm.jobs.bucket_day.tell_settled import tell_settled
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.farm.stems_in_store import (
    bring_in,
    bring_in_cut,
    last_day,
    never_cut,
    standing_cut,
    standing_keys,
    stems_cut,
    stored_stems,
    sure_stock,
)
from haulm.language.words import _
from haulm.planning.keeping import crops_of
from haulm.planning.settled import is_from_field
from haulm.store.journal import Pile, Promise, StemPosting
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account, PromiseState


@dataclass(frozen=True, slots=True)
class Correction:
    """A line of a settled delivery that gets another number of stems after all, its spare counted in.

    `reason` is one of `Reason` where the line gets fewer, and anything where it gets more from the store.
    """

    line: str
    due: date
    stems: int
    reason: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class _Line:
    """A line that is being corrected: its delivery, its facts, and what it was sent so far."""

    delivery: SettledDelivery
    facts: Mapping[str, Any]
    due: date
    packed: Sequence[PackedStems]

    @property
    def key(self) -> str:
        return str(self.facts["line"])

    @property
    def there(self) -> int:
        return sum(one.stems for one in self.packed)


def correct_list(desk: Desk, work: UnitOfWork, day: date, correction: Correction) -> None:
    """Give a settled line more or fewer stems; what was written stays, this corrects it; fewer is told by letter.

    More come from the cool store. Fewer: spare goes first; thrown stems are waste, others are back in the store, and
    what was never cut comes off the record of its cut and stands in the field again.

    Raises:
        NotFound: no such line is settled on the list.
        NotAccepted: the van has left, the number cannot be, or the reason is none that fits.
    """
    line = _line(work, day, correction)
    correction = replace(correction, reason=correction.reason.strip())
    require_reason(correction.reason)
    most = int(line.facts["asked"]) + int(line.facts.get("spare") or 0)
    if not 0 <= correction.stems <= most or correction.stems == line.there:
        accepted = _("0 to {most}, what was asked, and another number than the {there} that are packed").format(
            most=most, there=line.there
        )
        raise NotAccepted(where="stems", found=str(correction.stems), accepted=accepted)
    facts: dict[str, Any] = {"line": line.key, "due": line.due.isoformat(), "order": line.delivery.order}
    facts |= {"stems": correction.stems, "was": line.there, "reason": correction.reason}
    facts |= {"note": correction.note.strip(), "customer": line.delivery.customer}
    if correction.stems > line.there:
        changed, stock = _more(desk, work, line, correction.stems - line.there)
    else:
        changed, stock = _fewer(line.packed, line.there - correction.stems), ()
    sources = [*line.facts["from"], *line.facts.get("spare_from", ()), *stock]
    facts["now"] = line_with(line.facts, changed, sources, crops_of(work.farm))
    seq = work.enter(CORRECTED, subject_of(day), facts, corrects=line.delivery.entry)
    _post(desk, work, line, changed, (seq, correction.reason))
    _promise(work, line, int(facts["now"]["filled"]), seq)
    tell_settled(work, corrected(line.delivery, facts), seq)


def take_back(desk: Desk, work: UnitOfWork, day: date, named: Collection[DeliveryKey] = ()) -> int:
    """Take settled deliveries of a list back, all of them unless some are named; gives the stems back in the store.

    Raises:
        NotFound: nothing of the list is settled, or not what is named.
        NotAccepted: it has left, or it was confirmed by an earlier release, straight from the field.
    """
    found = settled_deliveries(work.entries_of(*OF_SETTLED, about=subject_of(day)))
    if not found:
        raise NotFound(kind=_("settled bucket list"), key=str(day))
    for order, due in named:
        if (order, due) not in found:
            raise NotFound(kind=_("settled delivery of {due} on this list").format(due=due), key=order)
    wanted = [found[key] for key in sorted(named or found)]
    if any(_has_left(work, one) for one in wanted):
        raise NotAccepted(
            where=_("bucket list"),
            found=_("{day}, of which stems have left").format(day=day),
            accepted=_("what is still packed"),
        )
    keys = [[one.order, one.due.isoformat()] for one in wanted]
    seq = work.enter(TAKEN_BACK, subject_of(day), {"deliveries": keys}, corrects=wanted[0].entry)
    stems = 0
    for one in wanted:
        for facts in one.lines:
            stems += _unpack(work, _Line(one, facts, one.due, packed_of(work, day, facts["line"], one.due)), seq)
    return stems


def require_reason(reason: str) -> None:
    """Refuse a reason that says nothing.

    Raises:
        NotAccepted: it is empty, or no plain text.
    """
    if not reason.strip():
        raise NotAccepted(where="reason", found=_("nothing"), accepted=_("what was wrong, in a few words"))
    if not is_text(reason.strip()):
        raise NotAccepted(where="reason", found=_("other text"), accepted=_(TEXT_SENTENCE))


def _line(work: UnitOfWork, day: date, correction: Correction) -> _Line:
    found = settled_deliveries(work.entries_of(*OF_SETTLED, about=subject_of(day)))
    for one in found.values():
        for facts in one.lines if one.due == correction.due else ():
            if facts["line"] == correction.line:
                if _has_left(work, one, correction.line):
                    where, accepted = _("{day}, which was delivered").format(day=day), _("a claim, for what was wrong")
                    raise NotAccepted(where=_("bucket list"), found=where, accepted=accepted)
                return _Line(one, facts, one.due, packed_of(work, day, correction.line, one.due))
    if not found:
        raise NotFound(kind=_("settled bucket list"), key=str(day))
    raise not_on_list(correction.line, correction.due)


def _has_left(work: UnitOfWork, found: SettledDelivery, line: str | None = None) -> bool:
    """Whether a delivery has left; a claim about it, or about one of its lines, says so too."""
    lines = [str(facts["line"]) for facts in found.lines if line in (None, facts["line"])]
    return found.has_left or any(
        claimed_stems(work.entries_of(CLAIM, about=claims_about(key)), found.due) for key in lines
    )


def _fewer(packed: Sequence[PackedStems], stems: int) -> list[PackedStems]:
    """What is left of packed stems without so many of the last packed, spare first."""
    kept: list[PackedStems] = []
    for one in reversed(packed):
        taken = min(stems, one.stems)
        stems -= taken
        kept.append(replace(one, stems=one.stems - taken))
    return kept[::-1]


def _more(
    desk: Desk, work: UnitOfWork, line: _Line, stems: int
) -> tuple[list[PackedStems], Sequence[Mapping[str, Any]]]:
    """What is packed with so many stems more from the store, the oldest first, and where they come from.

    Raises:
        NotAccepted: the store has fewer that the line accepts.
    """
    left, spare_asked = stems, int(line.facts.get("spare") or 0)
    own = sum(one.stems for one in line.packed if not one.is_spare)
    room = [(False, int(line.facts["asked"]) - own), (True, spare_asked - (line.there - own))]
    changed, stock = list(line.packed), list[Mapping[str, Any]]()
    for pile, known, there in fitting(desk, work, line.key, line.due):
        stock.append(_as_source(known))
        for is_spare, open_stems in room:
            taken = min(left, there, open_stems)
            if taken > 0:
                _add(changed, PackedStems(pile.product, pile.source, is_spare, taken))
                left, there = left - taken, there - taken
                room = [(part, more - taken if part is is_spare else more) for part, more in room]
    if left:
        raise NotAccepted(
            where="stems",
            found=_("{stems} more").format(stems=stems),
            accepted=_("{count} more, what the store has").format(count=stems - left),
        )
    return changed, stock


def _add(packed: list[PackedStems], more: PackedStems) -> None:
    for place, one in enumerate(packed):
        if (one.product, one.source, one.is_spare) == (more.product, more.source, more.is_spare):
            packed[place] = replace(one, stems=one.stems + more.stems)
            return
    packed.append(more)


def fitting(desk: Desk, work: UnitOfWork, line: str, due: date) -> Iterator[tuple[Pile, KnownStems, int]]:
    """The piles of the store that a line accepts on its day, own product first, the oldest first, with their stems."""
    farm, balances = work.farm, work.stem_balances()
    crops, stock = crops_of(farm), sure_stock(farm, balances)
    lines: tuple[StandingLine | OrderLine, ...] = (*farm.standing_lines, *farm.order_lines)
    asked = next((one for one in lines if one.key == line), None)
    found: list[tuple[tuple[int, date, str], tuple[Pile, KnownStems, int]]] = []
    for pile, stems in stored_stems(farm, balances, desk.today()).items():
        known = stock.get(pile)
        if asked is None or known is None or not _is_usable(farm, known, due):
            continue
        rank = _rank(asked.product, asked.choice, asked.substitutes, pile.product, crops)
        if rank is not None and (known.length_cm or 0) >= (asked.min_length_cm or 0):
            found.append(((rank, known.ready_date, pile.source), (pile, known, stems)))
    yield from (one for _, one in sorted(found, key=lambda one: one[0]))


def _rank(
    product: Product | None,
    choice: Choice | None,
    substitutes: Sequence[Product],
    found: Product,
    crops: Mapping[str, Crop],
) -> int | None:
    """How gladly a line takes a product, 0 first; None where it does not accept it."""
    crop = crops[found.variety]
    if product == found or (choice is not None and found in answering(choice, {crop.key: crop})):
        return 0
    return substitutes.index(found) + 1 if found in substitutes else None


def _is_usable(farm: Farm, known: KnownStems, due: date) -> bool:
    last = last_day(known, crops_of(farm)[known.product.variety])
    first = known.ready_date
    if known.product.form is not Form.DRIED and known.cut_date is not None:
        first = known.cut_date + timedelta(days=farm.site.condition_days)
    return first <= due and (last is None or due <= last)


def _as_source(known: KnownStems) -> Mapping[str, Any]:
    is_dried = known.product.form is Form.DRIED
    return {
        "product": str(known.product),
        "ready_date": known.ready_date.isoformat(),
        "length_cm": known.length_cm,
        "cut_date": None if is_dried or known.cut_date is None else known.cut_date.isoformat(),
        "stock": known.key,
    }


def _post(desk: Desk, work: UnitOfWork, line: _Line, changed: Sequence[PackedStems], why: tuple[int, str]) -> None:
    """Post what has changed of a line's stems, each pile by itself."""
    seq = why[0]
    cut = stems_cut(work.farm, work.stem_balances())
    before = {(one.product, one.source, one.is_spare): one.stems for one in line.packed}
    for one in changed:
        was = before.get((one.product, one.source, one.is_spare), 0)
        pile = Pile(one.source, one.product, Account.STORE)
        key = posting_key(line.key, line.due, one, f"corrected:{seq}")
        if one.stems > was:
            there = work.stem_balances().get(pile, 0)
            bring_in(work, pile, max(0, one.stems - was - there), entry=seq, key=f"{key}:in")
            post = StemPosting(key, one.product, one.source, Account.STORE, Account.PACKED, one.stems - was)
            work.post(post, entry=seq)
        elif one.stems < was:
            _post_less(desk, work, replace(one, stems=was - one.stems), key, why)
    if any(is_from_field(one.source) for one in changed):
        # An earlier release packed them from the field: what was cut for them since is in the store now.
        bring_in_cut(work, cut, entry=seq)


def _post_less(desk: Desk, work: UnitOfWork, less: PackedStems, key: str, why: tuple[int, str]) -> None:
    seq, reason = why
    to = _where_to(work, less, reason)
    work.post(StemPosting(key, less.product, less.source, Account.PACKED, to, less.stems), entry=seq)
    if to is Account.STORE and reason == Reason.NEVER_CUT:
        record = standing_cut(work.changed_farm, less.source)
        values: dict[str, object] = {"kind": str(RecordKind.CORRECTED), "corrects": record.key}
        values |= {"date": record.date.isoformat(), "count": max(0, (record.count or 0) - less.stems)}
        if record.left is not None:
            values["left"] = record.left + less.stems
        add_row(desk, work, RowAsked("records", values))


def _where_to(work: UnitOfWork, less: PackedStems, reason: str) -> Account:
    """Where stems go that a line gets no more.

    Raises:
        NotAccepted: the reason is none of those that there are, or cannot be of these stems.
    """
    if reason not in list(Reason):
        raise NotAccepted(
            where="reason", found=f"'{reason[:60]}'", accepted=_("one of: {reasons}").format(reasons=", ".join(Reason))
        )
    if reason == Reason.THROWN:
        return Account.WASTE
    if never_cut(less.source, standing_keys(work.farm)):
        # Packed straight from the field by an earlier release: it stands there again.
        return Account.FIELD
    if reason == Reason.NEVER_CUT and any(one.key == less.source for one in work.farm.known_stems):
        accepted = _("{thrown} or {back_in_store}: '{source}' is stock, and no cut").format(
            thrown=Reason.THROWN, back_in_store=Reason.BACK_IN_STORE, source=less.source
        )
        raise NotAccepted(where="reason", found=reason, accepted=accepted)
    return Account.STORE


def _promise(work: UnitOfWork, line: _Line, own: int, seq: int) -> None:
    last = work.promises(line.key, line.due)[-1:]
    if any(found.state is PromiseState.DELIVERED for found in last):
        # An earlier release wrote so when the list was confirmed.
        asked = int(line.facts["asked"])
        again = Promise(line.key, line.due, line.delivery.order, PromiseState.CONTRACTED, asked)
        work.promise(again, entry=seq)
    work.promise(Promise(line.key, line.due, line.delivery.order, PromiseState.SETTLED, own), entry=seq)


def _unpack(work: UnitOfWork, line: _Line, seq: int) -> int:
    """Put all stems of a line back into the store, and its promise back to what it was."""
    standing = standing_keys(work.farm)
    for one in line.packed:
        if never_cut(one.source, standing):
            found = _("stems that an earlier release packed from the field")
            raise NotAccepted(where=_("bucket list"), found=found, accepted=_("a correction of each line"))
        key = posting_key(line.key, line.due, one, f"back:{seq}")
        work.post(StemPosting(key, one.product, one.source, Account.PACKED, Account.STORE, one.stems), entry=seq)
    made = [one for one in work.promises(line.key, line.due) if one.state is PromiseState.CONTRACTED][-1:]
    order = line.delivery.order
    for before in made:
        work.promise(Promise(line.key, line.due, order, PromiseState.RELEASED, before.stems), entry=seq)
        again = Promise(line.key, line.due, order, PromiseState.CONTRACTED, before.stems, before.confidence)
        work.promise(again, entry=seq)
    return line.there

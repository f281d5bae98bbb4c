"""What a couple answers to their quote: kept as they gave it, and never an agreement by itself.

The last answer stands. A yes is tried at once, so that both sides hear on the same day where it can't be agreed any
more; nothing of that trial is written.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from haulm.errors import HaulmError, NotAccepted
from haulm.farm.limits import MOST_STEMS
from haulm.farm.orders import Order
from haulm.farm.weeks import day_in_words
from haulm.farm.words import OrderPart, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.names import Names
from haulm.jobs.promises.hold_quote import contract_quote, order_named
from haulm.jobs.promises.promise_part import PartStep, promise_part
from haulm.jobs.promises.show_quote import is_lapsed
from haulm.jobs.quotes.version import VERSION_KINDS, QuoteVersion, versions_of
from haulm.language.words import _, marked
from haulm.store.journal import Entry
from haulm.store.unit_of_work import UnitOfWork

ANSWERED, READ = "couple-answered", "couple-answer-read"
MOST_A_DAY, MOST_NOTE = 20, 500
_OPEN = (OrderStatus.QUOTED, OrderStatus.ON_HOLD, OrderStatus.CONTRACTED)


class Wish(StrEnum):
    """What a couple may say."""

    YES = "yes"
    YES_SOWN = "yes_sown"
    QUESTION = "question"
    NO = "no"
    NUMBERS = "numbers"
    OTHER_DAY = "other_day"


_YES = (Wish.YES, Wish.YES_SOWN)
_SAID = {
    Wish.YES: marked("Yes to what is promised"),
    Wish.YES_SOWN: marked("Yes, with what is sown for it"),
    Wish.QUESTION: marked("A question"),
    Wish.NO: marked("No, thank you"),
    Wish.NUMBERS: marked("Their numbers"),
    Wish.OTHER_DAY: marked("Another day"),
}


@dataclass(frozen=True, slots=True)
class CoupleSays:
    """What a couple sends.

    Attributes:
        wish: what they say.
        note: a word with it.
        numbers: of each piece how many, for their numbers.
        day: the day they would rather have.
    """

    wish: Wish
    note: str = ""
    numbers: tuple[tuple[str, int], ...] = ()
    day: date | None = None


@dataclass(frozen=True, slots=True)
class CoupleAnswer:
    """An answer as it was kept.

    Attributes:
        number: its place in the journal.
        order: of which order.
        on: the day.
        wish: what they said.
        note: their word with it.
        numbers: of each piece how many.
        day: the day they would rather have.
        cannot: why a yes could not be agreed on the day it came; empty where it could.
        is_read: whether the grower has read it, or has agreed since.
    """

    number: int
    order: str
    on: date
    wish: Wish
    note: str
    numbers: tuple[tuple[str, int], ...]
    day: date | None
    cannot: str
    is_read: bool

    @property
    def words(self) -> str:
        """What they said, in a few words."""
        said = _(_SAID[self.wish])
        if self.numbers:
            pieces = (f"{count:,} {piece.replace('_', ' ')}" for piece, count in self.numbers)
            return f"{said}: {', '.join(pieces)}"
        return said if self.day is None else f"{said}: {day_in_words(self.day)}"


def wishes_open(order: Order, version: QuoteVersion | None, today: date, *, may_sow: bool) -> tuple[Wish, ...]:
    """What a couple may say of an order as it stands; nothing where it is at its end.

    Args:
        order: the order.
        version: what was quoted last.
        today: the day.
        may_sow: whether there is still time to sow for what is offered so.
    """
    if order.status not in _OPEN or is_lapsed(order, today) or order.due_date < today:
        return ()
    numbers = (Wish.NUMBERS,) if version is not None and version.pieces else ()
    sown = (Wish.YES_SOWN,) if may_sow else ()
    if order.status is OrderStatus.CONTRACTED:
        return (*sown, *numbers, Wish.OTHER_DAY, Wish.QUESTION)
    places = None if version is None else version.places
    has_promise = places is None or places.is_all_promised or places.promised is not None
    return (*((Wish.YES,) if has_promise else ()), *sown, Wish.QUESTION, *numbers, Wish.OTHER_DAY, Wish.NO)


def cannot_be_agreed(desk: Desk, key: str, wish: Wish) -> str:
    """Why an order could not be contracted now, in a sentence; empty where it could. Nothing is written.

    It is the very step the grower would take, in a transaction that is let go.
    """
    try:
        with desk.store.unit_of_work(actor="couple", now=desk.now()) as work:
            order = order_named(work.farm, key)
            versions = versions_of(work.entries_of(*VERSION_KINDS, about=f"orders/{key}"))
            places = versions[-1].places if versions else None
            in_parts = places is not None and not places.is_all_promised and order.status is OrderStatus.QUOTED
            if wish is Wish.YES_SOWN:
                promise_part(desk, work, key, PartStep(OrderPart.SOWN))
            elif in_parts:
                promise_part(desk, work, key, PartStep(OrderPart.STANDS))
            else:
                contract_quote(desk, work, key)
    except HaulmError as refusal:
        return refusal.sentence
    return ""


def answer_quote(desk: Desk, work: UnitOfWork, key: str, says: CoupleSays, cannot: str = "") -> None:
    """Keep a couple's answer; `cannot` is why their yes could not be agreed, if so.

    Raises:
        NotFound: there is no such order.
        NotAccepted: it is at its end, the wish is not open, the note is long, or there were many answers today.
    """
    order, today = order_named(work.farm, key), desk.today()
    if len(says.note) > MOST_NOTE:
        raise NotAccepted(where="note", found=f"{len(says.note)} letters", accepted=f"at most {MOST_NOTE}")
    if says.wish is Wish.QUESTION and not says.note.strip():
        raise NotAccepted(where="note", found="nothing", accepted="your question, in a few words")
    _check_numbers(says)
    _check_day(says, today)
    before = [entry for entry in work.entries_of(ANSWERED, about=f"orders/{key}") if entry.facts["on"] == str(today)]
    if len(before) >= MOST_A_DAY:
        raise NotAccepted(where="answers of today", found=str(len(before) + 1), accepted="a call: please ring us")
    if order.status not in _OPEN or is_lapsed(order, today):
        raise NotAccepted(where="answer", found="a quote that is at its end", accepted="a call: please ring us")
    facts = {
        "on": today.isoformat(),
        "wish": str(says.wish),
        "note": says.note.strip(),
        "numbers": [[piece, count] for piece, count in says.numbers],
        "day": None if says.day is None else says.day.isoformat(),
        "cannot": cannot,
    }
    work.enter(ANSWERED, f"orders/{key}", facts)


def last_answer(desk: Desk, key: str) -> CoupleAnswer | None:
    """The answer that stands; None where none was given."""
    subject = f"orders/{key}"
    return next(iter(_answers(desk.store.entries_of(ANSWERED, READ, about=subject))), None)


def unread_answers(desk: Desk) -> tuple[CoupleAnswer, ...]:
    """The answers that nobody has read, oldest first; of each order the last."""
    found = _answers(desk.store.entries_of(ANSWERED, READ))
    return tuple(sorted((one for one in found if not one.is_read), key=lambda one: one.number))


def answers_in_words(desk: Desk) -> Iterator[str]:
    """What couples said that nobody has read yet, in sentences."""
    names = Names(desk.store.farm())
    for one in unread_answers(desk):
        order = names.order(one.order)
        yield _("{order} answered: {words}.").format(order=order[:1].upper() + order[1:], words=one.words)
        if one.cannot:
            yield _("It can't be agreed as it stands, and they were told so: {why}").format(why=one.cannot)


def read_answer(work: UnitOfWork, key: str) -> None:
    """Write down that the grower has read what stands.

    Raises:
        NotFound: there is no such order.
    """
    order_named(work.farm, key)
    work.enter(READ, f"orders/{key}")


def _answers(entries: Iterable[Entry]) -> list[CoupleAnswer]:
    """Of each order the last answer."""
    last: dict[str, Entry] = {}
    read: dict[str, int] = {}
    for entry in entries:
        if entry.kind == ANSWERED:
            last[entry.subject] = entry
        else:
            read[entry.subject] = entry.seq
    return [_answer(entry, read.get(subject, 0)) for subject, entry in last.items()]


def _answer(entry: Entry, read: int) -> CoupleAnswer:
    facts = entry.facts
    return CoupleAnswer(
        number=entry.seq,
        order=entry.subject.partition("/")[2],
        on=date.fromisoformat(facts["on"]),
        wish=Wish(facts["wish"]),
        note=str(facts["note"]),
        numbers=tuple((str(piece), int(count)) for piece, count in facts["numbers"]),
        day=date.fromisoformat(facts["day"]) if facts["day"] else None,
        cannot=str(facts["cannot"]),
        is_read=read > entry.seq,
    )


def _check_numbers(says: CoupleSays) -> None:
    if says.wish is Wish.NUMBERS and not says.numbers:
        raise NotAccepted(where="numbers", found="none", accepted="how many of each piece")
    for piece, count in says.numbers:
        if not 0 <= count <= MOST_STEMS:
            raise NotAccepted(where=piece.replace("_", " "), found=str(count), accepted=f"0 to {MOST_STEMS}")


def _check_day(says: CoupleSays, today: date) -> None:
    if says.wish is Wish.OTHER_DAY and (says.day is None or says.day <= today):
        found = "none" if says.day is None else "a day that is past"
        raise NotAccepted(where="day", found=found, accepted="a day to come")

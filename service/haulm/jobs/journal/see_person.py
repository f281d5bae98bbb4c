"""All that is kept of one person: to look at, to hand over, and to see what erasing takes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from haulm.errors import NotFound
from haulm.farm.orders import Customer
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import day_in_words
from haulm.jobs.bucket_day.confirmed_lists import CLAIM, CORRECTED
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.names import Names
from haulm.jobs.florists.florist_links import ENDED
from haulm.jobs.florists.florist_page import REPLIED
from haulm.jobs.florists.no_more_mail import wants_no_mail
from haulm.jobs.florists.reply_to_list import JUDGED, ask_in_words
from haulm.jobs.journal.entry_words import day_of
from haulm.jobs.journal.kinds import kind_in_words
from haulm.language.words import _, marked
from haulm.store.journal import Entry
from haulm.store.words import LetterState

_STATES = {
    LetterState.WAITING: marked("waits to be sent"),
    LetterState.SENT: marked("sent"),
    LetterState.BOUNCED: marked("came back"),
    LetterState.GIVEN_UP: marked("could not be sent"),
    LetterState.LEFT_OUT: marked("not sent"),
}
assert set(_STATES) == set(LetterState), "every state has its word"


@dataclass(frozen=True, slots=True)
class Kept:
    """Something that is kept of a person: on which day, what it is, and the words with it, empty for none."""

    on: date
    what: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class PersonKept:
    """All that is kept of one person.

    Attributes:
        key: how the books call the person.
        name, email, phone: as they stand; the key and None of one who was erased.
        wants_mail: whether the person takes mail.
        orders: standing and single orders, in words.
        notes: what is noted about the person, with what it is noted of.
        letters: letters to the person, newest first; addresses are not kept with them.
        answers: what the person answered, and what was answered to that.
        claims: what was wrong with deliveries, or changed in them.
        links_ended: the days on which the person's links were ended; links themselves are not kept.
    """

    key: str
    name: str
    email: str | None
    phone: str | None
    wants_mail: bool
    orders: tuple[str, ...]
    notes: tuple[str, ...]
    letters: tuple[Kept, ...]
    answers: tuple[Kept, ...]
    claims: tuple[Kept, ...]
    links_ended: tuple[date, ...]

    def as_json(self) -> dict[str, Any]:
        """The same as JSON, days as ISO text."""
        return {name: _plain(value) for name, value in asdict(self).items()}


def see_person(desk: Desk, key: str) -> PersonKept:
    """All that is kept of a customer.

    Raises:
        NotFound: there is no such customer.
    """
    farm = desk.store.farm()
    customer = _customer(farm, key)
    about = f"customers/{key}"
    return PersonKept(
        key=key,
        name=customer.name,
        email=customer.email,
        phone=customer.phone,
        wants_mail=not wants_no_mail(desk, key),
        orders=tuple(_orders(farm, key)),
        notes=tuple(_notes(farm, key)),
        letters=tuple(
            Kept(day_of(farm, one.made_at), kind_in_words(one.kind), _(_STATES[one.state]))
            for one in desk.store.outbox.posted_to(key)
        ),
        answers=tuple(_answer(farm, entry) for entry in desk.store.entries_of(REPLIED, JUDGED, about=about)),
        claims=tuple(
            Kept(day_of(farm, entry.at_utc), kind_in_words(entry.kind), _said(entry))
            for entry in desk.store.entries_of(CLAIM, CORRECTED)
            if entry.facts.get("customer") == key
        ),
        links_ended=tuple(day_of(farm, entry.at_utc) for entry in desk.store.entries_of(ENDED, about=about)),
    )


def _customer(farm: Farm, key: str) -> Customer:
    found = next((one for one in farm.customers if one.key == key), None)
    if found is None:
        raise NotFound(kind=_("customer"), key=key)
    return found


def _orders(farm: Farm, key: str) -> Iterator[str]:
    names = Names(farm)
    yield from (names.order(one.key) for one in farm.standing_orders if one.customer == key)
    said = _("{order}, leaves {day}")
    for one in farm.orders:
        if one.customer == key:
            yield said.format(order=names.order(one.key), day=day_in_words(one.due_date))


def _notes(farm: Farm, key: str) -> Iterator[str]:
    own = {one.key for one in farm.standing_orders if one.customer == key}
    names, said = Names(farm), _("{what}: {note}")
    for change in farm.changes:
        if change.order in own and change.note:
            yield said.format(what=names.order(change.order), note=change.note)
    for sale in farm.usual_sales:
        if sale.customer == key and sale.note:
            yield said.format(what=_("A usual sale"), note=sale.note)


def _answer(farm: Farm, entry: Entry) -> Kept:
    asks = "; ".join(ask_in_words(ask, farm) for ask in entry.facts.get("asks", ()))
    what = kind_in_words(entry.kind)
    return Kept(day_of(farm, entry.at_utc), f"{what}: {asks}" if asks else what, _said(entry))


def _said(entry: Entry) -> str:
    return "; ".join(filter(None, (entry.facts.get("reason", ""), entry.facts.get("note", ""))))


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _plain(one) for name, one in value.items()}
    if isinstance(value, (tuple, list)):
        return [_plain(one) for one in value]
    return value.isoformat() if isinstance(value, date) else value

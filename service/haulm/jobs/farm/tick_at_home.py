"""Tick that seed, plugs or tubers of a variety are at home or ordered, and take that back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from haulm.errors import NotAccepted, NotFound
from haulm.farm.at_home import AtHome, holds_until, in_hand, needed
from haulm.farm.batches import Batch
from haulm.farm.edits import identity
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import day_in_words
from haulm.farm.words import InHand, Needed
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.sound_rows import require_sound
from haulm.language.words import _, marked
from haulm.store.unit_of_work import UnitOfWork

TICKED = "at-home-ticked"
"""The entry of one tick: what it is now, and what it was before."""
TAKEN_BACK = "none"
"""The word for a tick that was taken back: it is neither at home nor ordered."""
_COLLECTION = "at_home"
_STATE_WORDS = {InHand.AT_HOME: marked("at home"), InHand.ORDERED: marked("ordered")}


@dataclass(frozen=True, slots=True)
class TickAsked:
    """A tick as the grower makes it: `state` None takes back what was ticked."""

    variety: str
    what: Needed
    state: InHand | None


@dataclass(frozen=True, slots=True)
class Need:
    """What a sowing is begun from, and whether it is in hand.

    Attributes:
        variety: key of the variety.
        name: its name.
        what: seed, plugs or tubers.
        tick: the tick that stands, whether it still holds or not; None: there is none.
        until: the last day on which the tick holds; None where there is none.
        holds: whether it holds on the day it is looked at.
    """

    variety: str
    name: str
    what: Needed
    tick: AtHome | None
    until: date | None
    holds: bool

    @property
    def sentence(self) -> str:
        """How it stands, for people."""
        if self.tick is None or self.until is None:
            return _("{what} of {name}: neither at home nor ordered.").format(
                what=self.what.capitalize(), name=self.name
            )
        said = _("{what} of {name}: {state}").format(
            what=self.what.capitalize(), name=self.name, state=_(_STATE_WORDS[self.tick.state])
        )
        ticked = _("ticked on {date}").format(date=day_in_words(self.tick.date))
        if self.holds:
            return _("{said}, {ticked}; that holds until {until}.").format(
                said=said, ticked=ticked, until=day_in_words(self.until)
            )
        return _("{said}, {ticked}; that held until {until}, look whether it is still there.").format(
            said=said, ticked=ticked, until=day_in_words(self.until)
        )


def tick_at_home(desk: Desk, work: UnitOfWork, asked: TickAsked) -> Need:
    """Write a tick down, or take it back; what stands already and holds is not written again.

    Raises:
        NotFound: there is no such variety, or nothing is ticked that could be taken back.
    """
    if all(variety.key != asked.variety for variety in work.farm.varieties):
        raise NotFound(kind=_("variety"), key=asked.variety)
    before = _need(work.farm, desk.today(), asked.variety, asked.what)
    if asked.state is None:
        return _taken_back(desk, work, before)
    if before.tick is not None and before.holds and before.tick.state is asked.state:
        return before
    row = AtHome(asked.variety, asked.what, asked.state, desk.today())
    require_sound(work.farm, [row])
    work.put(row, entry=work.enter(TICKED, _subject(row), _facts(asked.state, before)))
    return _need(work.changed_farm, desk.today(), asked.variety, asked.what)


def ticks_kept(desk: Desk) -> tuple[Need, ...]:
    """Every tick as it stands, by the name of its variety. Reads only."""
    farm = desk.store.farm()
    found = [_need(farm, desk.today(), row.variety, row.what) for row in farm.at_home]
    return tuple(sorted(found, key=lambda need: (need.name, need.what)))


def needs_of(farm: Farm, today: date, batches: Iterable[Batch]) -> tuple[Need, ...]:
    """What batches are begun from, each once, in their order."""
    asked = dict.fromkeys((batch.variety, what) for batch in batches if (what := needed(batch.method)) is not None)
    return tuple(_need(farm, today, variety, what) for variety, what in asked)


def what_and_state(what: str, state: str) -> tuple[Needed, InHand | None]:
    """The words of a tick, as a form or a body carries them.

    Raises:
        NotAccepted: a word is none of them.
    """
    if what not in tuple(Needed):
        raise NotAccepted(
            where="what", found=f"'{what[:40]}'", accepted=_("one of {names}").format(names=", ".join(Needed))
        )
    if state not in (*InHand, TAKEN_BACK):
        raise NotAccepted(
            where="state",
            found=f"'{state[:40]}'",
            accepted=_("one of {names}").format(names=", ".join((*InHand, TAKEN_BACK))),
        )
    return Needed(what), None if state == TAKEN_BACK else InHand(state)


def _taken_back(desk: Desk, work: UnitOfWork, before: Need) -> Need:
    if before.tick is None:
        raise NotFound(kind=_("tick"), key=f"{before.variety}|{before.what}")
    seq = work.enter(TICKED, _subject(before.tick), _facts(None, before))
    work.remove(_COLLECTION, "|".join(identity(before.tick)), entry=seq)
    return _need(work.changed_farm, desk.today(), before.variety, before.what)


def _facts(state: InHand | None, before: Need) -> dict[str, str]:
    was = before.tick
    return {"state": str(state or TAKEN_BACK), "before": TAKEN_BACK if was is None else str(was.state)}


def _subject(row: AtHome) -> str:
    return f"{_COLLECTION}/{'|'.join(identity(row))}"


def _need(farm: Farm, today: date, variety: str, what: Needed) -> Need:
    tick = next((row for row in farm.at_home if (row.variety, row.what) == (variety, what)), None)
    name = next((one.name for one in farm.varieties if one.key == variety), variety)
    latitude = farm.site.latitude
    until = None if tick is None else holds_until(tick.date, latitude)
    holds = in_hand(farm.at_home, variety, what, (today, latitude)) is not None
    return Need(variety, name, what, tick, until, holds)

"""What the steps of a quote rest on: its version, where it stands, its counts, how sure it is, its price, its cost."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from haulm.farm.quantities import percent
from haulm.farm.weeks import day_in_words
from haulm.farm.words import OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.money_words import money_words
from haulm.jobs.desk.seen import Shown
from haulm.jobs.promises.show_quote import QUOTE_KINDS, QuoteSheet, sheet_of
from haulm.jobs.quotes.line_words import joined
from haulm.jobs.quotes.promise_refused import fall_shown
from haulm.jobs.quotes.version import SheetPiece
from haulm.language.words import _
from haulm.planning.plan import Plan
from haulm.store.unit_of_work import UnitOfWork


def look_at_quote(desk: Desk, key: str) -> Callable[[UnitOfWork], Shown]:
    """How a step looks at a quote in its own transaction."""

    def look(work: UnitOfWork) -> Shown:
        plan = desk.plan_of(work.farm)
        entries = work.entries_of(*QUOTE_KINDS, about=f"orders/{key}")
        return quote_shown(sheet_of(desk, plan, key, entries), plan)

    return look


def quote_shown(sheet: QuoteSheet, plan: Plan) -> Shown:
    """A quote as its page shows it; shares in whole percent, so that the weather alone does not make it another."""
    return Shown(_("Quote {number}").format(number=sheet.number), dict(_figures(sheet, plan)))


def _figures(sheet: QuoteSheet, plan: Plan) -> Iterator[tuple[str, str]]:
    now = sheet.version
    until = _(" until {hold_until}").format(hold_until=day_in_words(sheet.hold_until)) if sheet.hold_until else ""
    yield _("Version"), str(now.number)
    yield _("Stands"), f"{sheet.status.replace('_', ' ')}{until}"
    yield _("Day"), day_in_words(now.event_date)
    yield _("Stems leave"), day_in_words(now.due_date)
    yield _("Stems"), _("{stems} and {spare} spare").format(stems=now.stems, spare=now.spare)
    yield from _counts(now.pieces).items()
    yield _("How sure"), percent(sheet.confidence)
    price = now.offered if sheet.status == OrderStatus.QUOTED else now.price
    yield _("Price"), _("none") if price is None else money_words(price.total_minor, sheet.currency)
    if sheet.deposit is not None:
        yield _("Deposit"), money_words(sheet.deposit.amount_minor, sheet.currency)
    if sheet.is_behind:
        yield _("Decided since"), _("kinds that it does not follow")
    if sheet.contract is not None:
        yield _("A contract today"), _contract(sheet, plan)


def _counts(pieces: Iterable[SheetPiece]) -> dict[str, str]:
    """How many of each piece; of pieces that are asked more than once, each number."""
    found: dict[str, str] = {}
    for piece in pieces:
        colours = _(" in {colours}").format(colours=joined(piece.colours)) if piece.colours else ""
        name = _("{piece}{colours} (pieces)").format(piece=piece.piece.replace("_", " ").capitalize(), colours=colours)
        found[name] = (
            _("{found} and {count}").format(found=found[name], count=piece.count) if name in found else str(piece.count)
        )
    return found


def _contract(sheet: QuoteSheet, plan: Plan) -> str:
    """What a contract of a hold would come to, without names: it goes over the wire too."""
    found = sheet.contract
    assert found is not None, "asked of a hold alone"
    if found.accepted:
        return _("could be made")
    if not found.falls:
        return _("could not be made: {joint} sure, and {level} is asked").format(
            joint=percent(found.joint), level=percent(found.level)
        )
    return _("would take below what they keep: {falls}").format(
        falls="; ".join(fall_shown(fall, plan) for fall in found.falls)
    )

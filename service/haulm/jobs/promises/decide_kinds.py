"""Decide about kinds in pieces: use one all the same, keep it out, or take the decision back; kept until changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from haulm.advice.piece_names import named_piece
from haulm.crop_library.recipes import by_piece, starting_recipes
from haulm.errors import HaulmError, NotAccepted, NotFound
from haulm.farm.edits import identity
from haulm.farm.piece_decisions import ASKED_USES, PieceDecision, use_of
from haulm.farm.snapshot import Farm
from haulm.farm.words import Decision, OrderStatus, Use
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.promises.answer_anew import answer_anew
from haulm.jobs.promises.change_quote import QuoteChanged
from haulm.jobs.promises.hold_quote import order_named
from haulm.jobs.quotes.kinds_told import USE_WORDS
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork

DECIDED = "kind-decided"
"""The entry of one decision: what it is now, and what it was before."""
TAKEN_BACK = "ask"
"""The word for a decision that was taken back: she is asked anew."""


@dataclass(frozen=True, slots=True)
class DecisionAsked:
    """A decision as the grower makes it.

    Attributes:
        variety: key of the kind.
        decision: what she decides; None takes back what was decided.
        use: worn or table; None where a piece says it.
        piece: the one piece it is about, by any of its names; None for every piece of the use.
        note: what goes with it.
    """

    variety: str
    decision: Decision | None
    use: Use | None = None
    piece: str | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Decided:
    """What was decided, and of the quote that asked: its new version, or why it stays as it was.

    Attributes:
        decisions: the rows as they were written; those taken back are not among them.
        changed: the quote, answered anew; None where no quote asked or it stays as it was.
        unanswered: why it stays as it was, in a sentence; empty otherwise.
    """

    decisions: tuple[PieceDecision, ...]
    changed: QuoteChanged | None = None
    unanswered: str = ""


@dataclass(frozen=True, slots=True)
class DecisionKept:
    """A decision as it stands: in words, and who made it when (None where it came with an import)."""

    row: PieceDecision
    name: str
    sentence: str
    actor: str | None
    at_utc: datetime | None


def decide_kinds(desk: Desk, work: UnitOfWork, asked: Sequence[DecisionAsked], *, quote: str | None = None) -> Decided:
    """Write decisions down; a quote that asked and holds no stems is answered anew by them.

    What holds stems stays as it was promised until somebody asks for it anew: it may cost others. So does a quote that
    cannot be answered any more. The decision is kept in either case.

    Raises:
        NotFound: there is no such variety, order, or decision to take back.
        NotAccepted: the piece is not known, or nothing is decided about its use.
        FolderRefused: the note is not accepted.
    """
    if quote is not None:
        order_named(work.farm, quote)
    rows = [(decision, _row(work.farm, decision)) for decision in asked]
    require_sound(work.farm, [row for _, row in rows])
    for decision, row in rows:
        _write(work, decision, row)
    kept = tuple(row for decision, row in rows if decision.decision is not None)
    if quote is None:
        return Decided(kept)
    if order_named(work.farm, quote).status is not OrderStatus.QUOTED:
        return Decided(
            kept, unanswered=_("The quote holds stems and stays as it was promised until it is answered anew.")
        )
    try:
        return Decided(kept, answer_anew(desk, work, quote))
    except HaulmError as refusal:
        return Decided(kept, unanswered=_("The quote stays as it was: {sentence}").format(sentence=refusal.sentence))


def decisions_kept(desk: Desk) -> tuple[DecisionKept, ...]:
    """Every decision as it stands, by the name of its kind. Reads only."""
    farm = desk.store.farm()
    names = {variety.key: variety.name for variety in farm.varieties}
    last = {entry.subject: entry for entry in desk.store.entries_of(DECIDED)}
    found = []
    for row in farm.piece_decisions:
        entry = last.get(_subject(row))
        is_hers = entry is not None and entry.facts["decision"] == row.decision
        actor, at = (entry.actor, entry.at_utc) if entry is not None and is_hers else (None, None)
        found.append(DecisionKept(row, names[row.variety], _sentence(row), actor, at))
    return tuple(sorted(found, key=lambda kept: (kept.name, kept.row.use, kept.row.piece or "")))


def _row(farm: Farm, asked: DecisionAsked) -> PieceDecision:
    if all(variety.key != asked.variety for variety in farm.varieties):
        raise NotFound(kind=_("variety"), key=asked.variety)
    piece = None if asked.piece is None else _piece(farm, asked.piece)
    use = asked.use if piece is None else use_of(piece)
    if use not in ASKED_USES or asked.use not in (None, use):
        found = (
            "nothing"
            if use is None
            else str(asked.use or use)
            if piece is None
            else _("'{piece}', which is {use}").format(piece=piece, use=use)
        )
        accepted = _(
            "{uses}, or a piece of that use: what is set up takes any kind, and what goes with food only what you "
            "sell for food"
        ).format(uses=_(" or ").join(ASKED_USES))
        raise NotAccepted(
            where="use",
            found=found,
            accepted=accepted,
        )
    return PieceDecision(asked.variety, use, asked.decision or Decision.KEEP_OUT, piece, asked.note)


def _piece(farm: Farm, asked: str) -> str:
    own, starting = by_piece(farm.recipes), by_piece(starting_recipes())
    name = named_piece(asked, own, starting)
    if name is None:
        known = ", ".join(sorted({*own, *starting}))
        raise NotAccepted(where="piece", found=f"'{asked}'", accepted=_("one of {known}").format(known=known))
    return name


def _write(work: UnitOfWork, asked: DecisionAsked, row: PieceDecision) -> None:
    key = "|".join(identity(row))
    before = next((old for old in work.changed_farm.piece_decisions if identity(old) == identity(row)), None)
    if before is None and asked.decision is None:
        raise NotFound(kind=_("decision"), key=key)
    facts = {
        "decision": TAKEN_BACK if asked.decision is None else str(asked.decision),
        "before": TAKEN_BACK if before is None else str(before.decision),
    }
    seq = work.enter(DECIDED, _subject(row), facts)
    if asked.decision is None:
        work.remove("piece_decisions", key, entry=seq)
    else:
        work.put(row, entry=seq)


def _subject(row: PieceDecision) -> str:
    return f"piece_decisions/{'|'.join(identity(row))}"


def _sentence(row: PieceDecision) -> str:
    where = _(USE_WORDS[row.use]) if row.piece is None else row.piece.replace("_", " ")
    return f"{'Used all the same in' if row.decision is Decision.USE else 'Kept out of'} {where}."

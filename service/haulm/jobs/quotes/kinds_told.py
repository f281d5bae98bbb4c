"""What a quote asks the grower of kinds that do harm in its pieces, and tells of those she decided about."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import groupby

from haulm.advice.piece_decisions import KindInPiece, decision_on
from haulm.farm.hazards import Hazard, hazard_words
from haulm.farm.piece_decisions import PieceDecision
from haulm.farm.products import Product
from haulm.farm.words import Decision, HazardClass, Use
from haulm.jobs.quotes.answer import Answered
from haulm.jobs.quotes.line_words import joined
from haulm.jobs.quotes.version import KindTold, QuoteVersion
from haulm.language.words import _, marked

USE_WORDS: Mapping[Use, str] = {Use.WORN: marked("what is worn or held"), Use.TABLE: marked("what stands on tables")}
_DECIDED = {
    "": marked("the decision was taken back"),
    "use": marked("used all the same"),
    "keep_out": marked("kept out"),
}
_SEVERITIES = ("dangerous", "harmful", "")


def kinds_told(found: Answered) -> tuple[KindTold, ...]:
    """The kinds that are asked about or decided, the worst first, of those that may have stems on the day.

    One that nobody could be given is no question yet: a quote for August does not ask about tulips.
    """
    refused = found.order.unacceptable
    kinds = [kind for kind in found.draft.kinds if kind.variety not in refused and _may_come(found, kind)]
    told = [_told(found, tuple(group)) for _, group in groupby(sorted(kinds, key=_alike), key=_alike)]
    return tuple(sorted(told, key=lambda kind: (_SEVERITIES.index(kind.severity), kind.name, kind.use, kind.decided)))


def still_asked(version: QuoteVersion, decisions: Iterable[PieceDecision]) -> tuple[KindTold, ...]:
    """The kinds of a version about which nothing is decided today."""
    kept = tuple(decisions)
    return tuple(
        kind for kind in version.kinds if any(decision_on(kept, kind.variety, piece) is None for piece in kind.pieces)
    )


def is_behind(version: QuoteVersion, decisions: Iterable[PieceDecision]) -> bool:
    """Whether anything about the kinds of a version was decided otherwise, or taken back, since it was written."""
    kept = tuple(decisions)
    return any(
        _word(decision_on(kept, kind.variety, piece)) != kind.decided for kind in version.kinds for piece in kind.pieces
    )


def decided_since(before: QuoteVersion, now: QuoteVersion) -> Iterator[str]:
    """What was decided about kinds between two versions, in sentences."""
    told = {(kind.variety, piece): kind.decided for kind in before.kinds for piece in kind.pieces}
    for kind in now.kinds:
        if any(told.get((kind.variety, piece), "") != kind.decided for piece in kind.pieces):
            yield _("{name} in {use}: {decided}.").format(
                name=kind.name, use=_(USE_WORDS[Use(kind.use)]), decided=_(_DECIDED[kind.decided])
            )


def _may_come(found: Answered, kind: KindInPiece) -> bool:
    """Whether any stems of a kind are to be expected on the day for a line of the piece."""
    for draft in found.draft.lines:
        if kind.piece in draft.pieces and draft.line.choice is not None:
            products = [Product(kind.variety, form) for form in draft.line.choice.forms]
            if found.look.hoped_for(draft.line, products):
                return True
    return False


def _alike(kind: KindInPiece) -> tuple[str, str, bool, str]:
    return kind.variety, kind.use, kind.is_out, _decided(kind)


def _told(found: Answered, kinds: tuple[KindInPiece, ...]) -> KindTold:
    one = kinds[0]
    name = found.trial.crops[one.variety].name
    pieces = tuple(dict.fromkeys(kind.piece for kind in kinds))
    harm = harm_in_words(one.hazards)
    return KindTold(
        variety=one.variety,
        name=name,
        use=str(one.use),
        pieces=pieces,
        harm=harm,
        severity=one.hazards[0].severity.name.lower() if one.hazards else "",
        decided=_decided(one),
        is_out=one.is_out,
        note="" if one.decided is None else one.decided.note,
        sentence=_sentence(f"{name}: {harm}" if harm else name, pieces, one),
    )


def harm_in_words(hazards: Iterable[Hazard]) -> str:
    """Hazards in words, each way of doing harm once; as they stand, the worst first."""
    words: dict[HazardClass, str] = {}
    for hazard in hazards:
        words.setdefault(hazard.hazard_class, hazard_words(hazard))
    return "; ".join(words.values())


def _sentence(what: str, pieces: tuple[str, ...], kind: KindInPiece) -> str:
    where = f"{_(USE_WORDS[kind.use])} ({joined([piece.replace('_', ' ') for piece in pieces], _('and'))})"
    if kind.decided is not None:
        said = (
            _("{what}. You keep it out of {where}.")
            if kind.is_out
            else _("{what}. You use it all the same in {where}.")
        ).format(what=what, where=where)
        return _("{said} Your note: {note}").format(said=said, note=kind.decided.note) if kind.decided.note else said
    if kind.is_out:
        return _("{what}. It stays out of {where} until you decide.").format(what=what, where=where)
    return _("{what}. It may come in {where} unless you keep it out.").format(what=what, where=where)


def _decided(kind: KindInPiece) -> str:
    return _word(kind.decided)


def _word(decision: PieceDecision | None) -> str:
    return "" if decision is None else str(Decision(decision.decision))

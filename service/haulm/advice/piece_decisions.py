"""Whether a kind goes into a piece: by what the grower decided, else by how grave the harm is that it can do there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from haulm.advice.piece_names import named_piece
from haulm.advice.piece_uses import hazards_in, is_grave
from haulm.farm.hazards import Hazard
from haulm.farm.piece_decisions import PieceDecision, use_of
from haulm.farm.varieties import Crop
from haulm.farm.words import Decision, Use


@dataclass(frozen=True, slots=True)
class KindInPiece:
    """A kind in a piece.

    Attributes:
        variety: key of the kind.
        piece: the piece whose recipe is taken.
        use: where it is worn or stands.
        hazards: those that matter there, the worst first.
        decided: what the grower decided that holds here; None where she did not, or may not.
        is_out: whether the kind stays out of the piece.
    """

    variety: str
    piece: str
    use: Use
    hazards: tuple[Hazard, ...]
    decided: PieceDecision | None
    is_out: bool

    @property
    def is_told(self) -> bool:
        """Whether there is anything to ask or to tell: harm that matters, or a decision."""
        return bool(self.hazards) or self.decided is not None


def kind_in_piece(crop: Crop, piece: str, decisions: Iterable[PieceDecision]) -> KindInPiece:
    """Whether a kind goes into a piece, and why.

    What goes on or beside food takes only what is sold for food, whatever was decided. What is set up takes any kind.
    """
    use = use_of(piece)
    if use is Use.FOOD:
        return KindInPiece(crop.key, piece, use, (), None, not crop.food_use)
    hazards, decided = hazards_in(use, crop.hazards), decision_on(decisions, crop.key, piece)
    if decided is not None:
        return KindInPiece(crop.key, piece, use, hazards, decided, decided.decision is Decision.KEEP_OUT)
    return KindInPiece(crop.key, piece, use, hazards, None, is_grave(use, crop.hazards))


def kinds_in_piece(
    piece: str, crops: Mapping[str, Crop], decisions: Iterable[PieceDecision]
) -> tuple[KindInPiece, ...]:
    """Every kind of the farm in a piece, by key."""
    kept = tuple(decisions)
    return tuple(kind_in_piece(crops[key], piece, kept) for key in sorted(crops))


def decision_on(decisions: Iterable[PieceDecision], variety: str, piece: str) -> PieceDecision | None:
    """What was decided about a kind in a piece: for the piece by any of its names, else for its use."""
    use = use_of(piece)
    found = [one for one in decisions if one.variety == variety and one.use is use]
    own = (one for one in found if one.piece and named_piece(one.piece, (piece,), ()) is not None)
    return next(own, next((one for one in found if not one.piece), None))

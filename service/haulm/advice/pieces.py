"""From pieces to stems: what a bouquet, a jar or an arch asks, by role, with the spare for breakage."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from haulm.advice.piece_names import named_piece
from haulm.errors import NotAccepted
from haulm.farm.orders import Recipe
from haulm.farm.piece_decisions import use_of
from haulm.farm.quantities import whole_up
from haulm.farm.words import Role, Use
from haulm.language.words import _

MOST_PIECES = 2_000
"""One pair of hands makes no more of one piece for a day (common practice); more is a slip of the pen."""
_WISH_GIVEN_BY = {
    Role.MOVEMENT: (Role.TEXTURE, Role.FILLER),
    Role.FOLIAGE: (Role.FILLER, Role.TEXTURE),
    Role.TEXTURE: (Role.FILLER, Role.ACCENT),
    Role.SPIKE: (Role.FOCAL, Role.FILLER),
}
"""Which roles make room for a role that was wished for, the first that the piece has (common practice)."""
_WISH_FROM_STEMS = 5
"""A buttonhole has no room for a wish."""


@dataclass(frozen=True, slots=True)
class PieceAsked:
    """So many of one piece, in these colours (none: those of the palette, else any)."""

    piece: str
    count: int
    colours: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PieceNeeds:
    """What a piece takes.

    Attributes:
        piece: the piece whose recipe was taken.
        asked: the word used for it.
        count: how many.
        roles: stems of one piece by role.
        colours: the colours asked for it, none for those of the palette.
        use: where it is worn or stands.
    """

    piece: str
    asked: str
    count: int
    roles: tuple[tuple[Role, int], ...]
    colours: tuple[str, ...]
    use: Use

    @property
    def stems_each(self) -> int:
        """Stems of one."""
        return sum(stems for _, stems in self.roles)

    @property
    def stems(self) -> int:
        """Stems of all of them, without spare."""
        return self.stems_each * self.count


@dataclass(frozen=True, slots=True)
class RoleAsked:
    """Stems of one role in these colours, the pieces they are for, and whether any of these is worn or near food."""

    role: Role
    colours: tuple[str, ...]
    stems: int
    pieces: tuple[str, ...]
    uses: tuple[Use, ...] = ()


def piece_needs(
    asked: Sequence[PieceAsked],
    own: Mapping[str, tuple[Recipe, ...]],
    starting: Mapping[str, tuple[Recipe, ...]],
    wishes: Sequence[Role] = (),
) -> tuple[PieceNeeds, ...]:
    """What each piece takes by its recipe; the farm's own recipes come first, roles wished for have their share.

    Raises:
        NotAccepted: a piece has no recipe, or its count is not from 1 to `MOST_PIECES`.
    """
    return tuple(_needs(f"pieces[{place}]", piece, own, starting, wishes) for place, piece in enumerate(asked))


def _needs(
    where: str,
    asked: PieceAsked,
    own: Mapping[str, tuple[Recipe, ...]],
    starting: Mapping[str, tuple[Recipe, ...]],
    wishes: Sequence[Role],
) -> PieceNeeds:
    if not 1 <= asked.count <= MOST_PIECES:
        accepted = _("a count from 1 to {most} of one piece").format(most=MOST_PIECES)
        raise NotAccepted(where=f"{where}.count", found=str(asked.count), accepted=accepted)
    name = named_piece(asked.piece, own, starting)
    if name is None:
        known = sorted({*own, *starting})
        near = get_close_matches(asked.piece.lower(), known, n=1)
        accepted = _("one of {known}").format(known=", ".join(known))
        if near:
            accepted = _("{accepted}; the nearest is {near}").format(accepted=accepted, near=near[0])
        raise NotAccepted(where=f"{where}.piece", found=f"'{asked.piece}'", accepted=accepted)
    recipe = own.get(name) or starting[name]
    roles = with_wishes(tuple((row.role, row.stems) for row in recipe), wishes)
    return PieceNeeds(name, asked.piece, asked.count, roles, asked.colours, use_of(name))


def with_wishes(roles: tuple[tuple[Role, int], ...], wishes: Sequence[Role]) -> tuple[tuple[Role, int], ...]:
    """Stems by role with half of a neighbouring role given to each role wished for; the sum stays what it was.

    A role that the piece has already is left as it is, and so are pieces of very few stems (common practice).
    """
    found = dict(roles)
    if sum(found.values()) < _WISH_FROM_STEMS:
        return roles
    for wish in wishes:
        giver = next((role for role in _WISH_GIVEN_BY.get(wish, ()) if found.get(role, 0) >= 2), None)
        if wish not in found and giver is not None:
            found[wish] = found[giver] // 2
            found[giver] -= found[wish]
    return tuple(found.items())


def stems_by_role(needs: Sequence[PieceNeeds]) -> tuple[RoleAsked, ...]:
    """The stems that pieces take, added up by role, colours and use, in the order in which they are first met.

    What is worn or stands near food is kept apart from what is not: more kinds are left out of it.
    """
    found: dict[tuple[Role, tuple[str, ...], Use], list[tuple[str, int]]] = {}
    for piece in needs:
        for role, stems in piece.roles:
            key = (role, piece.colours, piece.use)
            found.setdefault(key, []).append((piece.piece, stems * piece.count))
    return tuple(
        RoleAsked(role, colours, sum(s for _, s in parts), tuple(dict.fromkeys(name for name, _ in parts)), (use,))
        for (role, colours, use), parts in found.items()
    )


def spare_for(stems: int, percent: float) -> int:
    """Whole stems of spare for a line, rounded up."""
    return whole_up(stems * percent / 100)

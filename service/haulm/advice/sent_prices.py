"""What stems that were sent cost, and how that differs from what was agreed: one sum, rounded once a line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from haulm.advice.pricing import BunchPrice, line_price, whole_minor


@dataclass(frozen=True, slots=True)
class Terms:
    """What was agreed of a line on one day.

    Attributes:
        stems: stems asked, without spare; `spare` those of its breakage allowance.
        bunch: the price of a bunch.
        whole_minor: one price agreed for the whole line [minor units], which outranks it; or None.
    """

    stems: int
    spare: int
    bunch: BunchPrice
    whole_minor: int | None = None

    @property
    def agreed_minor(self) -> int:
        """What all of it costs [minor units]."""
        if self.whole_minor is not None:
            return self.whole_minor
        return line_price(self.stems, self.spare, self.bunch.stem).total_minor

    @property
    def stem(self) -> Fraction:
        """What one stem costs [minor units]."""
        if self.whole_minor is not None:
            return Fraction(self.whole_minor, self.stems + self.spare)
        return self.bunch.stem


@dataclass(frozen=True, slots=True)
class SentStems:
    """Stems that went out; `own` is the list's price of a stand-in [minor units a stem], None for what was asked."""

    stems: int
    own: Fraction | None = None


@dataclass(frozen=True, slots=True)
class SentPrice:
    """What a line costs as it was sent [minor units]: `agreed - short - stand_in - claimed = due`, to the unit.

    Attributes:
        agreed_minor: what all of it was agreed at.
        parts_minor: the price of each part that went out, before claims.
        short_minor: credit for stems that were not sent.
        stand_in_minor: credit where a stand-in costs less than what was asked.
        claimed_minor: credit for stems that were claimed.
    """

    agreed_minor: int
    parts_minor: tuple[int, ...]
    short_minor: int
    stand_in_minor: int
    claimed_minor: int = 0

    @property
    def sent_minor(self) -> int:
        """What went out costs, before claims."""
        return sum(self.parts_minor)

    @property
    def due_minor(self) -> int:
        """What is left to pay."""
        return self.sent_minor - self.claimed_minor


def sent_price(terms: Terms, parts: Sequence[SentStems], *, claimed_minor: int = 0) -> SentPrice:
    """The price of a line of stems actually sent.

    What was asked costs what was agreed, whatever its length; a stand-in costs that or less, never more. Stems beyond
    what was agreed cost nothing. A part costs what it adds to the line's sum, so that the parts add up to it.
    """
    left, asked, charged = terms.stems + terms.spare, Fraction(0), Fraction(0)
    amounts: list[int] = []
    for part in parts:
        stems = min(part.stems, left)
        left -= stems
        before = whole_minor(charged)
        asked += stems * terms.stem
        charged += stems * (terms.stem if part.own is None else min(part.own, terms.stem))
        amounts.append(whole_minor(charged) - before)
    agreed = terms.agreed_minor
    return SentPrice(
        agreed, tuple(amounts), agreed - whole_minor(asked), whole_minor(asked) - whole_minor(charged), claimed_minor
    )


def credit_for(sent_minor: int, sent: int, stems: int, *, claimed: int = 0) -> int:
    """The credit for stems that were claimed of those sent [minor units]: their part of what the line cost.

    Args:
        sent_minor: what the line costs as it was sent.
        sent: its stems, spare counted in.
        stems: how many are claimed now.
        claimed: how many were before; all of them together are credited the whole.
    """
    if not sent:
        return 0
    return whole_minor(Fraction(sent_minor * (claimed + stems), sent)) - whole_minor(
        Fraction(sent_minor * claimed, sent)
    )

"""The prices of one customer's delivery note: each part's, what is credited and why, and what is left to pay."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from haulm.farm.varieties import Crop
from haulm.jobs.bucket_day.list_prices import ListTerms
from haulm.jobs.desk.money_words import money_words
from haulm.language.words import _
from haulm.paper.confirmed_list import PackedLine
from haulm.paper.words import stems_words


@dataclass(frozen=True, slots=True)
class NotePrices:
    """Prices in words.

    Attributes:
        rows: of each part that goes out, in the order of lines and parts.
        agreed: what all that was asked was agreed at; empty where nothing is credited.
        credits: what is credited before the sum, each with its reason and amount; `claims` what is after it.
        together: the sum of the rows.
        to_pay: what is left after claims; empty where nobody claimed.
    """

    rows: tuple[str, ...]
    agreed: str
    credits: tuple[tuple[str, str], ...]
    together: str
    claims: tuple[tuple[str, str], ...]
    to_pay: str


def note_prices(terms: ListTerms, lines: Sequence[PackedLine], crops: Mapping[str, Crop], currency: str) -> NotePrices:
    """The prices of the lines of a note, as they were sent."""
    rows: list[str] = []
    credited: list[tuple[str, str]] = []
    claims: list[tuple[str, str]] = []
    agreed = together = due = 0
    for line in lines:
        name = (line.line, line.due.isoformat())
        sent = [(str(part.product), part.stems) for part in (*line.parts, *line.spare)]
        price = terms.of(*name).price(sent, claimed_minor=terms.credited(*name))
        rows += [money_words(minor, currency) for minor in price.parts_minor]
        what = line.asked_words(crops)
        missing = terms.of(*name).terms.stems + terms.of(*name).terms.spare - sum(stems for _, stems in sent)
        reasons = (
            (
                _("{what}, {stems} fewer than agreed").format(what=what, stems=stems_words(missing)),
                price.short_minor,
            ),
            (_("{what}, a stand-in that costs less").format(what=what), price.stand_in_minor),
        )
        credited += _in_words(reasons, currency)
        claims += _in_words([(_("{what}, claimed").format(what=what), price.claimed_minor)], currency)
        agreed, together, due = agreed + price.agreed_minor, together + price.sent_minor, due + price.due_minor
    return NotePrices(
        tuple(rows),
        money_words(agreed, currency) if credited else "",
        tuple(credited),
        money_words(together, currency),
        tuple(claims),
        money_words(due, currency) if claims else "",
    )


def _in_words(reasons: Sequence[tuple[str, int]], currency: str) -> Iterator[tuple[str, str]]:
    for reason, minor in reasons:
        if minor:
            yield _("Credit: {reason}").format(reason=reason), money_words(-minor, currency)

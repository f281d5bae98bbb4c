"""What an option costs for what it gives, as people say it."""

from __future__ import annotations

from collections.abc import Iterator

from haulm.advice.options.option import Option
from haulm.jobs.desk.money_words import money_words
from haulm.language.words import _


def worth_in_words(option: Option, currency: str) -> str:
    """Money, place and hours, and what is left over of it; nothing where nobody can say."""
    said = "; ".join(_parts(option, currency))
    return f"{said[0].upper()}{said[1:]}." if said else ""


def _parts(option: Option, currency: str) -> Iterator[str]:
    worth = option.worth
    if worth is None:
        return
    if worth.spent_minor:
        yield _("costs about {money}").format(money=money_words(worth.spent_minor, currency))
    if worth.place_minor:
        yield _("takes bed and bench worth {money}").format(money=money_words(worth.place_minor, currency))
    if worth.work_minor:
        yield _("hours of {money}").format(money=money_words(worth.work_minor, currency))
    if worth.surplus_stems:
        sold = money_words(worth.surplus_minor, currency)
        yield _("leaves about {stems} stems, which may bring {sold}").format(stems=worth.surplus_stems, sold=sold)
    if worth.is_dear:
        yield _("costs more than the promises it keeps, which are sold for {money}").format(
            money=money_words(worth.gained_minor, currency)
        )
    if worth.is_dear and worth.is_in_proportion:
        yield _("as many stems bought in would cost {money}").format(money=money_words(worth.bought_minor, currency))

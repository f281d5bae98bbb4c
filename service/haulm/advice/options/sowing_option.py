"""A sowing, or several, as an option: what to do in words, by when, and what it is worth."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from haulm.advice.options.need import SURE_MARGIN
from haulm.advice.options.option import Option, Proof
from haulm.advice.options.search import Search
from haulm.farm.batches import Batch
from haulm.farm.quantities import percents
from haulm.farm.weeks import day_in_words
from haulm.farm.words import Method

NEAR = 0.02 + SURE_MARGIN
"""What leaves the least sure line so little below its level is worth telling where it is smaller [share]."""
_HOW = {Method.HEATED: "with heat", Method.COVER: "under cover", Method.DIRECT: "where they stay"}


def sowing_option(
    search: Search, tried: tuple[tuple[Batch, ...], Proof], *, sow_by: date, decide_by: date, closes: bool
) -> Option:
    """An option of batches that were proved.

    Args:
        search: the search they come from.
        tried: the batches in their beds, and the gap with them.
        sow_by: the last day on which they can be begun as they are.
        decide_by: the last day on which they, or others like them, can be begun.
        closes: whether every line reaches its level.
    """
    batches, proof = tried
    plugs = any(batch.method is Method.PLUGS for batch in batches)
    worth = search.worth(batches, proof)
    before, after = percents(search.before.confidence, proof.confidence)
    sentence = f"{_said(search, batches)}: from {before} to {after} sure"
    if not closes:
        sentence += f"; of {search.before.missing:.0f} stems missing on average {proof.missing:.0f} stay missing"
    if not closes and is_near(search, proof):
        sentence += "; smaller than what closes it, and a point or two short of it"
    if worth.is_plenty:
        sentence += f"; it gives about {worth.surplus_stems} stems more than are short"
    order_by = search.order_by(batches, sow_by)
    at_home = search.are_in_hand(batches)
    home = "" if at_home or order_by is not None else " It is too late to order: only with what is at home."
    return Option(
        kind="plugs" if plugs else "succession",
        sentence=f"{sentence}.{_risk(search, batches)}{home}",
        decide_by=decide_by,
        before=search.before,
        after=proof,
        closes=closes,
        cost_minor=worth.spent_minor,
        batches=batches,
        order_by=order_by,
        sow_by=sow_by,
        worth=worth,
        is_near=not closes and is_near(search, proof),
        at_home=at_home,
    )


def is_near(search: Search, proof: Proof) -> bool:
    """Whether a gap is left open by no more than a point or two."""
    return 0 < proof.lacks(search.levels) <= NEAR


def _said(search: Search, batches: Sequence[Batch]) -> str:
    """What to sow or plant, each with its date."""
    parts = "; ".join(_said_of(search, batch) for batch in batches)
    return parts[0].upper() + parts[1:]


def _said_of(search: Search, batch: Batch) -> str:
    crop = search.crops[batch.variety]
    name = crop.name
    bed = next((bed.name for bed in search.room.beds if bed.key == batch.bed), None)
    where = f", {bed}" if bed else ""
    day = batch.plant_out_date if batch.method is Method.PLUGS else batch.sow_date
    assert day is not None, "a sowing has a day"
    on = f"on {day_in_words(day)}{where}"
    if batch.method is Method.PLUGS:
        return f"plant {batch.places} bought plugs of {name} {on}"
    if batch.method is Method.TUBER:
        return f"plant {batch.places} {crop.costs.planted_as}s of {name} {on}"
    trays = "" if not batch.trays else f" in {batch.trays:g} tray{'' if batch.trays == 1 else 's'}"
    return f"sow {batch.places} places of {name}{trays}, {_HOW[batch.method]}, {on}"


def _risk(search: Search, batches: Sequence[Batch]) -> str:
    """What is said of tubers that go into the ground before the last frost of a late year."""
    frost = search.terms.site.frost
    days = [batch.sow_date for batch in batches if batch.method is Method.TUBER and batch.sow_date is not None]
    if frost is None or not any(day < frost.last_spring_p90.in_year(day.year) for day in days):
        return ""
    return " In a late year a frost comes after that: have fleece at hand for what is up by then."

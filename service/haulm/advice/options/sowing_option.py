"""A sowing, or several, as an option: what to do in words, by when, and what it is worth."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from haulm.advice.options.need import SURE_MARGIN
from haulm.advice.options.option import Option, Proof
from haulm.advice.options.search import Search
from haulm.farm.batches import Batch
from haulm.farm.quantities import percents
from haulm.farm.weeks import day_in_words
from haulm.farm.words import Method
from haulm.language.words import _, marked, one_or_more

NEAR = 0.02 + SURE_MARGIN
"""What leaves the least sure line so little below its level is worth telling where it is smaller [share]."""
_HOW = {
    Method.HEATED: marked("with heat"),
    Method.COVER: marked("under cover"),
    Method.DIRECT: marked("where they stay"),
}


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
    effect = _("from {before} to {after} sure").format(before=before, after=after)
    parts = [f"{_said(search, batches)}: {effect}"]
    if not closes:
        stays = _("of {before} stems missing on average {after} stay missing")
        parts.append(stays.format(before=f"{search.before.missing:.0f}", after=f"{proof.missing:.0f}"))
    if not closes and is_near(search, proof):
        parts.append(_("smaller than what closes it, and a point or two short of it"))
    if worth.is_plenty:
        parts.append(_("it gives about {stems} stems more than are short").format(stems=worth.surplus_stems))
    order_by = search.order_by(batches, sow_by)
    at_home = search.are_in_hand(batches)
    sentences = [f"{'; '.join(parts)}.", *_risk(search, batches)]
    if not at_home and order_by is None:
        sentences.append(_("It is too late to order: only with what is at home."))
    return Option(
        kind="plugs" if plugs else "succession",
        sentence=" ".join(sentences),
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
    on = _("on {day}").format(day=day_in_words(day)) + where
    if batch.method is Method.PLUGS:
        return _("plant {places} bought plugs of {name} {on}").format(places=batch.places, name=name, on=on)
    if batch.method is Method.TUBER:
        return _("plant {places} {pieces} of {name} {on}").format(
            places=batch.places, pieces=crop.costs.several_planted, name=name, on=on
        )
    how = _(_HOW[batch.method])
    if not batch.trays:
        return _("sow {places} places of {name}, {how}, {on}").format(places=batch.places, name=name, how=how, on=on)
    said = one_or_more(
        "sow {places} places of {name} in {trays} tray, {how}, {on}",
        "sow {places} places of {name} in {trays} trays, {how}, {on}",
        1 if batch.trays == 1 else 2,
    )
    return said.format(places=batch.places, name=name, trays=f"{batch.trays:g}", how=how, on=on)


def _risk(search: Search, batches: Sequence[Batch]) -> Iterator[str]:
    """What is said of tubers that go into the ground before the last frost of a late year."""
    frost = search.terms.site.frost
    days = [batch.sow_date for batch in batches if batch.method is Method.TUBER and batch.sow_date is not None]
    if frost is not None and any(day < frost.last_spring_p90.in_year(day.year) for day in days):
        yield _("In a late year a frost comes after that: have fleece at hand for what is up by then.")

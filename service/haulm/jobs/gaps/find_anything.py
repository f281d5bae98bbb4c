"""Find a kind, somebody, an order or a sowing by a word of its name, each with its most wanted figure."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from haulm.farm.weeks import day_in_words
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.names import Names
from haulm.jobs.gaps.standing_gaps import DatedGap, dated_gaps
from haulm.language.words import _, many
from haulm.planning.plan import Plan

MOST_OF_A_SORT = 12


@dataclass(frozen=True, slots=True)
class Hit:
    """Something found: what it is called, the page it stands on, and what one most wants to know of it.

    `back` is where one counts back from a day on which a kind is wanted; empty for what is no kind.
    """

    name: str
    path: str
    figure: str
    back: str = ""


@dataclass(frozen=True, slots=True)
class Hits:
    """What was found of one sort; `more` others were found too."""

    sort: str
    hits: tuple[Hit, ...]
    more: int


def find_anything(desk: Desk, asked: str) -> tuple[Hits, ...]:
    """Everything whose name holds all the words, sort by sort; nothing where no word was given.

    Raises:
        FarmEmpty: nothing was imported yet.
    """
    words = _folded(asked).split()
    if not words:
        return ()
    plan = desk.plan()
    names = Names(plan.farm)
    sorts = (
        (_("Kinds"), _kinds(desk, plan)),
        (_("People"), _people(plan)),
        (_("Orders"), _orders(plan, names)),
        (_("Sowings"), _sowings(plan, names)),
        (_("Pages"), _pages()),
    )
    found = ((sort, [hit for text, hit in hits if all(word in text for word in words)]) for sort, hits in sorts)
    return tuple(
        Hits(sort, tuple(hits[:MOST_OF_A_SORT]), max(0, len(hits) - MOST_OF_A_SORT)) for sort, hits in found if hits
    )


def _folded(text: str) -> str:
    """Small letters without their accents, so that a thumb need not type them."""
    parts = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in parts if not unicodedata.combining(letter))


def _pages() -> Iterator[tuple[str, Hit]]:
    """Pages that one looks for by what is done there."""
    pages = (
        (_("Next year beside this one"), "/next-year", _("copy the sowings of a season into the next")),
        (_("Standing orders of the next season"), "/next-year/orders", _("renew them, or let them end")),
        (_("Order list: seed, plugs, tubers"), "/next-year/list", _("what to order, and by which day")),
    )
    for name, path, figure in pages:
        yield _folded(f"{name} {figure}"), Hit(name, path, figure)


def _kinds(desk: Desk, plan: Plan) -> Iterator[tuple[str, Hit]]:
    short: dict[str, DatedGap] = {}
    for found in dated_gaps(desk, plan):
        for short_line in found.gap.shortfalls:
            product = short_line.line.product
            if product is not None:
                short.setdefault(product.variety, found)
    for key, crop in sorted(plan.crops.items(), key=lambda one: one[1].name.casefold()):
        gap = short.get(key)
        if gap is not None:
            week = gap.gap.weeks[0].number
            figure = _("short from week {week}").format(week=week)
            path = f"/short/{gap.gap.key}"
        else:
            figure, path = _("nothing short"), "/free"
        yield (
            _folded(" ".join((crop.name, crop.botanical_name or "", crop.colour or ""))),
            Hit(crop.name, path, figure, f"/count-back?kind={key}"),
        )


def _people(plan: Plan) -> Iterator[tuple[str, Hit]]:
    due: dict[str, date] = {}
    for line in plan.result.lines:
        if line.due >= plan.today:
            due[line.customer] = min(line.due, due.get(line.customer, line.due))
    for one in sorted(plan.farm.customers, key=lambda one: one.name.casefold()):
        day = due.get(one.key)
        figure = _("next on {day}").format(day=day_in_words(day)) if day else _("nothing to come")
        yield _folded(one.name), Hit(one.name, "/orders?show=all", figure)


def _orders(plan: Plan, names: Names) -> Iterator[tuple[str, Hit]]:
    first: dict[str, date] = {}
    lines: dict[tuple[str, date], int] = {}
    for line in plan.result.lines:
        if line.due >= plan.today and not line.is_spare:
            first[line.order] = min(line.due, first.get(line.order, line.due))
            lines[line.order, line.due] = lines.get((line.order, line.due), 0) + line.stems
    for key, day in sorted(first.items(), key=lambda one: (one[1], one[0])):
        stems = many("{count} stem", "{count} stems", lines[key, day])
        figure = _("{stems} on {day}").format(stems=stems, day=day_in_words(day))
        name = names.order(key)
        yield _folded(f"{name} {day_in_words(day)}"), Hit(name, f"/orders/{key}/{day}", figure)


def _sowings(plan: Plan, names: Names) -> Iterator[tuple[str, Hit]]:
    for batch in plan.farm.batches:
        figure = names.status(batch)
        if batch.places:
            places = many("{count} place", "{count} places", batch.places)
            figure = _("{places}, {status}").format(places=places, status=figure)
        name = names.of_batch(batch)
        yield _folded(name), Hit(name, f"/plan/{batch.key}", figure)

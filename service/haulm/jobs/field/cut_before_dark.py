"""Frost, heat or hail to come: what to cut before dark, whom it serves, how long it keeps, and what to cover."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from haulm.advice.asked_words import asked_in_words
from haulm.demand.dated_line import DatedLine
from haulm.errors import NotAccepted
from haulm.farm.batches import Batch
from haulm.farm.beds import Bed
from haulm.farm.place_words import Place
from haulm.farm.quantities import percents
from haulm.farm.sprays import closed_beds
from haulm.farm.varieties import Crop
from haulm.farm.warnings import Warned, warnings_at
from haulm.farm.weeks import day_in_words
from haulm.farm.words import LineClass, Threat
from haulm.jobs.desk.desk import Desk
from haulm.planning.plan import Plan
from haulm.planning.tonight import Struck, ToCover, ToCut, Tonight, tonight

COLDS: tuple[float, ...] = (-1.0, -3.0, -6.0)
"""How cold a night may be said to get [deg C]: a light frost, a frost, a hard one."""
_LEAST_C, _MOST_C = -30.0, 2.0
COLD_NAMES = {-1.0: "a light frost, about -1 °C", -3.0: "a frost, about -3 °C", -6.0: "a hard frost, about -6 °C"}
_HEADS = {
    Threat.FROST: "Frost tonight",
    Threat.HEAT: "Heat to come",
    Threat.HAIL: "Hail to come",
}
_GENERAL = {
    Threat.FROST: (
        "Bring in trays that are hardening off.",
        "Hardier kinds stay; frost may mark their open flowers, so look at them in the morning.",
        "How cold it gets differs from bed to bed: low ground first.",
    ),
    Threat.HEAT: (
        "Cut in the cool of the evening or at first light, and stand the stems in water at once.",
        "Drink, and leave the tunnel in the worst hours.",
    ),
    Threat.HAIL: (
        "Stems in the open are broken, the plants mostly live: look at them afterwards, and write down what was lost.",
        "Be out of the field before the storm: lightning comes with hail.",
    ),
}
_MOST_STRUCK = 8
_WORTH_COVERING = 10
"""Fleece is not carried out for fewer stems [stems]."""


@dataclass(frozen=True, slots=True)
class CutRow:
    """A kind to cut, in words.

    Attributes:
        name, beds: the kind, and where it stands, in the order of walking.
        stands: how many stand ready.
        keeps: how long they keep.
        by_day: how many are promised for which days; empty: none.
        for_whom: the same for each line, with the customer's name.
        rest: what becomes of the others; empty: there are none.
    """

    name: str
    beds: str
    stands: str
    keeps: str
    by_day: str
    for_whom: tuple[str, ...]
    rest: str


@dataclass(frozen=True, slots=True)
class Part:
    """Some lines under a heading; the first part has none."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BeforeDark:
    """What to do, in words.

    Attributes:
        threat: what comes.
        min_c: how cold it gets [deg C]; None where that does not matter.
        farm: the farm's name.
        day: today.
        head: what comes, in words.
        cut: what to cut, the most promised first.
        cover: what to cover, each in a sentence.
        lost: what nothing saves, in a sentence; None: nothing.
        rescued, struck: promises that the cutting keeps, and those that are less sure all the same, each in a sentence:
            with the customer's name, and without.
        more_struck: that there are more of them, in a sentence; empty: there are not.
        closed: beds that nobody may go into, each in a sentence.
        general: what holds whatever grows.
        warned: what to take care of when cutting these kinds.
    """

    threat: Threat
    min_c: float | None
    farm: str
    day: date
    head: str
    cut: tuple[CutRow, ...]
    cover: tuple[str, ...]
    lost: str | None
    rescued: tuple[tuple[str, str], ...]
    struck: tuple[tuple[str, str], ...]
    more_struck: tuple[str, ...]
    closed: tuple[str, ...]
    general: tuple[str, ...]
    warned: tuple[Warned, ...]

    @property
    def is_quiet(self) -> bool:
        """Whether nothing stands to lose."""
        return not (self.cut or self.cover or self.lost)


def cut_before_dark(desk: Desk, threat: Threat, min_c: float | None = None) -> BeforeDark:
    """What to do before a threat comes; nothing is written.

    Raises:
        NotAccepted: no night gets so cold, or so warm with frost.
    """
    cold = COLDS[0] if min_c is None else min_c
    if not _LEAST_C <= cold <= _MOST_C:
        accepted = f"{_LEAST_C:.0f} to {_MOST_C:.0f} °C"
        raise NotAccepted(where="how cold it gets", found=f"{cold:g} °C", accepted=accepted)
    plan = desk.plan()
    return _said(plan, threat, cold, tonight(plan, threat, min_c=cold))


def _said(plan: Plan, threat: Threat, cold: float, found: Tonight) -> BeforeDark:
    is_frost = threat is Threat.FROST
    head = f"{_HEADS[threat]}: {COLD_NAMES.get(cold, f'about {cold:g} °C')}" if is_frost else _HEADS[threat]
    return BeforeDark(
        threat=threat,
        min_c=cold if is_frost else None,
        farm=plan.farm.site.name,
        day=plan.today,
        head=head,
        cut=tuple(_cut_row(plan, row) for row in found.cut),
        cover=tuple(_covers(plan, found.cover)),
        lost=_lost(plan, found.lost),
        rescued=tuple(_both(plan, one, _rescued) for one in found.rescued[:_MOST_STRUCK]),
        struck=tuple(_both(plan, one, _struck_by(found)) for one in _worst(found.struck)),
        more_struck=_more(len(found.struck)),
        closed=tuple(one.sentence for one in closed_beds(plan.farm, plan.today)),
        general=_GENERAL[threat],
        warned=warnings_at(Place.CUT, [row.crop for row in found.cut]),
    )


def _cut_row(plan: Plan, row: ToCut) -> CutRow:
    low, middle, high = row.stands
    rest = max(0, middle - row.promised)
    by_day: dict[date, int] = {}
    for line, stems in row.for_whom:
        by_day[line.due] = by_day.get(line.due, 0) + stems
    dries = ", or hang them" if row.crop.dried_keep_days is not None else ""
    return CutRow(
        name=row.crop.name,
        beds=_beds(plan, row.batches),
        stands=f"about {middle} stand ready" if low == high else f"about {middle} stand ready ({low} to {high})",
        keeps=f"cut today they keep until {day_in_words(row.keeps_until)}",
        by_day=", ".join(f"{stems} for {day_in_words(day)}" for day, stems in sorted(by_day.items())),
        for_whom=tuple(
            f"{stems} for {_whose(plan, line, named=True)}, leaving {day_in_words(line.due)}"
            for line, stems in row.for_whom
        ),
        rest=f"About {rest} have no promise yet: offer them{dries}" if rest else "",
    )


def _whose(plan: Plan, line: DatedLine, *, named: bool) -> str:
    """Whose line it is; without names for what may lie about."""
    if not named:
        return "a wedding" if line.line_class is LineClass.WEDDING else "an order"
    return next((one.name for one in plan.farm.customers if one.key == line.customer), line.customer)


def _covers(plan: Plan, covered: Sequence[ToCover]) -> Iterator[str]:
    """What to cover, bed by bed, that with most to come first."""
    by_bed: dict[str, list[ToCover]] = {}
    for one in covered:
        by_bed.setdefault(_beds(plan, (one.batch,)) or "No bed written down", []).append(one)
    for bed, there in sorted(by_bed.items(), key=lambda item: -sum(one.to_come for one in item[1])):
        coming = sum(one.to_come for one in there)
        if coming >= _WORTH_COVERING:
            names = ", ".join(dict.fromkeys(one.crop.name for one in there if one.to_come))
            yield f"{bed}: {names}; about {coming} stems are still to come."


def _lost(plan: Plan, lost: Sequence[tuple[Batch, Crop]]) -> str | None:
    if not lost:
        return None
    names = ", ".join(sorted({crop.name for _, crop in lost}))
    return f"No cover saves what stands of these, and nothing of it is ready: {names}."


def _beds(plan: Plan, batches: Sequence[Batch]) -> str:
    """The beds of batches, in the order of walking."""
    keys = {batch.bed for batch in batches}
    found = sorted((bed for bed in plan.farm.beds if bed.key in keys), key=_walk)
    return ", then ".join(bed.name for bed in found)


def _walk(bed: Bed) -> tuple[bool, int, str]:
    return bed.walk is None, bed.walk or 0, bed.name


def _worst(struck: Sequence[Struck]) -> list[Struck]:
    found = sorted(struck, key=lambda one: (one.cut - one.now, one.line.precedence))
    return found[:_MOST_STRUCK]


def _both(plan: Plan, one: Struck, words: Callable[[Struck], str]) -> tuple[str, str]:
    what = f"{one.line.stems} {asked_in_words(one.line.product or one.line.choice or '', plan.crops)}"
    when = f"leaving {day_in_words(one.line.due)}"
    named, plain = (f"{what} for {_whose(plan, one.line, named=is_named)}, {when}" for is_named in (True, False))
    return f"{named}: {words(one)}", f"{plain}: {words(one)}"


def _rescued(one: Struck) -> str:
    now, uncut = percents(one.now, one.uncut)
    return f"{now} sure if it is cut, {uncut} if not."


def _struck_by(found: Tonight) -> Callable[[Struck], str]:
    """How much less sure a promise is, whatever is cut; a cover that holds keeps it."""
    end = "unless the cover holds" if found.cover else "whatever is cut"

    def words(one: Struck) -> str:
        now, after = percents(one.now, one.cut)
        return f"from {now} to {after} sure, {end}."

    return words


def _more(count: int) -> tuple[str, ...]:
    """That there are more promises than are named."""
    more = count - _MOST_STRUCK
    return () if more <= 0 else (f"And {more} more {'promises' if more > 1 else 'promise'}.",)


def before_dark_lines(found: BeforeDark) -> tuple[Part, ...]:
    """The same as plain lines without anybody's name: a letter may lie about."""
    parts = (
        Part("", () if not found.is_quiet else ("Nothing that stands in the field would be lost.",)),
        Part("Cut before dark", tuple(_plain_row(row) for row in found.cut)),
        Part("Cover before dark, fleece pegged to the ground", found.cover),
        Part("Not to be saved", () if found.lost is None else (found.lost,)),
        Part("What the cutting keeps", tuple(plain for _, plain in found.rescued)),
        Part("Less sure all the same", (*(plain for _, plain in found.struck), *found.more_struck)),
        Part("Take care", (*(str(one) for one in found.warned), *found.closed, *found.general)),
    )
    return tuple(part for part in parts if part.lines)


def _plain_row(row: CutRow) -> str:
    parts = [f"{row.name}{f' ({row.beds})' if row.beds else ''}: {row.stands}; {row.keeps}."]
    parts += [f"Promised: {row.by_day}."] if row.by_day else []
    parts += [f"{row.rest}."] if row.rest else []
    return " ".join(parts)

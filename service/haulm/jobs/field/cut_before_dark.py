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
from haulm.language.words import _, marked, one_or_more
from haulm.planning.plan import Plan
from haulm.planning.tonight import Struck, ToCover, ToCut, Tonight, tonight

COLDS: tuple[float, ...] = (-1.0, -3.0, -6.0)
"""How cold a night may be said to get [deg C]: a light frost, a frost, a hard one."""
_LEAST_C, _MOST_C = -30.0, 2.0
COLD_NAMES = {
    -1.0: marked("a light frost, about -1 °C"),
    -3.0: marked("a frost, about -3 °C"),
    -6.0: marked("a hard frost, about -6 °C"),
}
_HEADS = {
    Threat.FROST: marked("Frost tonight"),
    Threat.HEAT: marked("Heat to come"),
    Threat.HAIL: marked("Hail to come"),
}
_GENERAL = {
    Threat.FROST: (
        marked("Bring in trays that are hardening off."),
        marked("Hardier kinds stay; frost may mark their open flowers, so look at them in the morning."),
        marked("How cold it gets differs from bed to bed: low ground first."),
    ),
    Threat.HEAT: (
        marked("Cut in the cool of the evening or at first light, and stand the stems in water at once."),
        marked("Drink, and leave the tunnel in the worst hours."),
    ),
    Threat.HAIL: (
        marked(
            "Stems in the open are broken, the plants mostly live: look at them afterwards, and "
            "write down what was lost."
        ),
        marked("Be out of the field before the storm: lightning comes with hail."),
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
        accepted = _("{least_c:.0f} to {most_c:.0f} °C").format(least_c=_LEAST_C, most_c=_MOST_C)
        raise NotAccepted(where=_("how cold it gets"), found=f"{cold:g} °C", accepted=accepted)
    plan = desk.plan()
    return _said(plan, threat, cold, tonight(plan, threat, min_c=cold))


def _said(plan: Plan, threat: Threat, cold: float, found: Tonight) -> BeforeDark:
    is_frost = threat is Threat.FROST
    how_cold = _(COLD_NAMES[cold]) if cold in COLD_NAMES else _("about {cold} °C").format(cold=f"{cold:g}")
    head = f"{_(_HEADS[threat])}: {how_cold}" if is_frost else _(_HEADS[threat])
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
        general=tuple(_(line) for line in _GENERAL[threat]),
        warned=warnings_at(Place.CUT, [row.crop for row in found.cut]),
    )


def _cut_row(plan: Plan, row: ToCut) -> CutRow:
    low, middle, high = row.stands
    rest = max(0, middle - row.promised)
    by_day: dict[date, int] = {}
    for line, stems in row.for_whom:
        by_day[line.due] = by_day.get(line.due, 0) + stems
    offer = (
        _("About {rest} have no promise yet: offer them")
        if row.crop.dried_keep_days is None
        else _("About {rest} have no promise yet: offer them, or hang them")
    )
    return CutRow(
        name=row.crop.name,
        beds=_beds(plan, row.batches),
        stands=_("about {middle} stand ready").format(middle=middle)
        if low == high
        else _("about {middle} stand ready ({low} to {high})").format(middle=middle, low=low, high=high),
        keeps=_("cut today they keep until {keeps_until}").format(keeps_until=day_in_words(row.keeps_until)),
        by_day=", ".join(
            _("{stems} for {day}").format(stems=stems, day=day_in_words(day)) for day, stems in sorted(by_day.items())
        ),
        for_whom=tuple(
            _("{stems} for {whose}, leaving {due}").format(
                stems=stems, whose=_whose(plan, line, named=True), due=day_in_words(line.due)
            )
            for line, stems in row.for_whom
        ),
        rest=offer.format(rest=rest) if rest else "",
    )


def _whose(plan: Plan, line: DatedLine, *, named: bool) -> str:
    """Whose line it is; without names for what may lie about."""
    if not named:
        return _("a wedding") if line.line_class is LineClass.WEDDING else _("an order")
    return next((one.name for one in plan.farm.customers if one.key == line.customer), line.customer)


def _covers(plan: Plan, covered: Sequence[ToCover]) -> Iterator[str]:
    """What to cover, bed by bed, that with most to come first."""
    by_bed: dict[str, list[ToCover]] = {}
    for one in covered:
        by_bed.setdefault(_beds(plan, (one.batch,)) or _("No bed written down"), []).append(one)
    for bed, there in sorted(by_bed.items(), key=lambda item: -sum(one.to_come for one in item[1])):
        coming = sum(one.to_come for one in there)
        if coming >= _WORTH_COVERING:
            names = ", ".join(dict.fromkeys(one.crop.name for one in there if one.to_come))
            yield _("{bed}: {names}; about {coming} stems are still to come.").format(
                bed=bed, names=names, coming=coming
            )


def _lost(plan: Plan, lost: Sequence[tuple[Batch, Crop]]) -> str | None:
    if not lost:
        return None
    names = ", ".join(sorted({crop.name for _batch, crop in lost}))
    return _("No cover saves what stands of these, and nothing of it is ready: {names}.").format(names=names)


def _beds(plan: Plan, batches: Sequence[Batch]) -> str:
    """The beds of batches, in the order of walking."""
    keys = {batch.bed for batch in batches}
    found = sorted((bed for bed in plan.farm.beds if bed.key in keys), key=_walk)
    return _(", then ").join(bed.name for bed in found)


def _walk(bed: Bed) -> tuple[bool, int, str]:
    return bed.walk is None, bed.walk or 0, bed.name


def _worst(struck: Sequence[Struck]) -> list[Struck]:
    found = sorted(struck, key=lambda one: (one.cut - one.now, one.line.precedence))
    return found[:_MOST_STRUCK]


def _both(plan: Plan, one: Struck, words: Callable[[Struck], str]) -> tuple[str, str]:
    what = f"{one.line.stems} {asked_in_words(one.line.product or one.line.choice or '', plan.crops)}"
    when = _("leaving {due}").format(due=day_in_words(one.line.due))
    named, plain = (
        _("{what} for {whose}, {when}").format(what=what, whose=_whose(plan, one.line, named=is_named), when=when)
        for is_named in (True, False)
    )
    return f"{named}: {words(one)}", f"{plain}: {words(one)}"


def _rescued(one: Struck) -> str:
    now, uncut = percents(one.now, one.uncut)
    return _("{now} sure if it is cut, {uncut} if not.").format(now=now, uncut=uncut)


def _struck_by(found: Tonight) -> Callable[[Struck], str]:
    """How much less sure a promise is, whatever is cut; a cover that holds keeps it."""
    end = _("unless the cover holds") if found.cover else _("whatever is cut")

    def words(one: Struck) -> str:
        now, after = percents(one.now, one.cut)
        return _("from {now} to {after} sure, {end}.").format(now=now, after=after, end=end)

    return words


def _more(count: int) -> tuple[str, ...]:
    """That there are more promises than are named."""
    more = count - _MOST_STRUCK
    return (
        ()
        if more <= 0
        else (one_or_more("And {more} more promise.", "And {more} more promises.", more).format(more=more),)
    )


def before_dark_lines(found: BeforeDark) -> tuple[Part, ...]:
    """The same as plain lines without anybody's name: a letter may lie about."""
    parts = (
        Part("", () if not found.is_quiet else (_("Nothing that stands in the field would be lost."),)),
        Part(_("Cut before dark"), tuple(_plain_row(row) for row in found.cut)),
        Part(_("Cover before dark, fleece pegged to the ground"), found.cover),
        Part(_("Not to be saved"), () if found.lost is None else (found.lost,)),
        Part(_("What the cutting keeps"), tuple(plain for _named, plain in found.rescued)),
        Part(_("Less sure all the same"), (*(plain for _named, plain in found.struck), *found.more_struck)),
        Part(_("Take care"), (*(str(one) for one in found.warned), *found.closed, *found.general)),
    )
    return tuple(part for part in parts if part.lines)


def _plain_row(row: CutRow) -> str:
    parts = [f"{row.name}{f' ({row.beds})' if row.beds else ''}: {row.stands}; {row.keeps}."]
    parts += [_("Promised: {by_day}.").format(by_day=row.by_day)] if row.by_day else []
    parts += [f"{row.rest}."] if row.rest else []
    return " ".join(parts)

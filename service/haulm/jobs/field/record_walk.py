"""What was seen on a walk, written down all at once: a walk that is sent again, or in parts, is written once."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from haulm.errors import NotAccepted
from haulm.farm.products import KEY
from haulm.farm.records import Record
from haulm.farm.snapshot import Farm
from haulm.farm.words import LossReason, RecordKind
from haulm.farm_folder.cells import row_from_values, values_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.farm.doubtful_records import require_sure
from haulm.jobs.field.walk_field import Growing, Walk, walk_of
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork

_LONGEST_WALK = 48
_SHOWN = 12


class Said(StrEnum):
    """What can be said at a stop."""

    STANDING = "standing"
    NOT_YET = "not_yet"
    GONE_OVER = "gone_over"
    FROST_DAMAGE = "frost_damage"
    PART_LOST = "part_lost"
    ALL_LOST = "all_lost"


class Blank(StrEnum):
    """The one answer about what was left blank."""

    NOTHING_YET = "nothing_yet"
    NOT_LOOKED = "not_looked"


@dataclass(frozen=True, slots=True)
class Sighting:
    """One thing said on a walk.

    Attributes:
        said: what.
        batch, variety, bed: what it is about, one of them; of a bed it is said of every sowing in it.
        count: stems standing or gone over; plants lost.
        share_pct: share of the plants lost [%], in the place of a count.
        not_ready: buds beside the stems that stand ready, for the note.
        reason: why plants were lost.
        typed_at: when it was typed, else as the walk says.
    """

    said: Said
    batch: str | None = None
    variety: str | None = None
    bed: str | None = None
    count: int | None = None
    share_pct: int | None = None
    not_ready: int | None = None
    reason: LossReason | None = None
    typed_at: str | None = None


@dataclass(frozen=True, slots=True)
class Walked:
    """A walk as it is sent.

    Attributes:
        seen: what was said, bed by bed or kind by kind.
        frost: whether there was a killing frost on the whole farm.
        blank: the answer about what was left blank; None: not asked yet.
        key: the walk's own key, made where it was typed; its records are named after it, so they are written once.
        day: the day of the walk; today unless said.
        typed_at: when it was typed.
        really: whether what is doubtful was said again.
    """

    seen: tuple[Sighting, ...] = ()
    frost: bool = False
    blank: Blank | None = None
    key: str | None = None
    day: date | None = None
    typed_at: str | None = None
    really: bool = False


def left_blank(desk: Desk, farm: Farm, seen: Iterable[Sighting]) -> tuple[Growing, ...]:
    """What nothing was said of, though it may give its first stems now or within three weeks.

    What has given stems is not asked about: there "nothing yet" says nothing. Nor is a bed where nobody should go in.
    """
    named = {(one.batch, one.variety, one.bed) for one in seen}
    return tuple(
        one
        for stop in walk_of(desk.plan_of(farm)).stops
        for one in stop.growing
        if one.is_soon
        and not (one.has_begun or stop.is_sprayed)
        and not named & {(one.batch.key, None, None), (None, one.crop.key, None), (None, None, stop.bed)}
    )


def told_before(farm: Farm, walk: str | None) -> tuple[Sighting, ...]:
    """What earlier parts of the same walk spoke of; it is not blank."""
    own = [] if walk is None else [one for one in farm.records if one.key.startswith(f"{walk}-")]
    about = [one for one in own if one.batch is not None or one.variety is not None]
    return tuple(
        Sighting(
            Said.NOT_YET if one.kind is RecordKind.NOT_YET else Said.STANDING, batch=one.batch, variety=one.variety
        )
        for one in about
    )


def record_walk(desk: Desk, work: UnitOfWork, walked: Walked) -> tuple[Record, ...]:
    """Write down what was seen on a walk, all of it or nothing.

    Raises:
        NotAccepted: nothing was said, or one thing twice of the same, or a number is missing or one too many.
        NotFound: a bed is unknown, or has nothing in the ground.
        DoubtfulRecord: something cannot well be, and was not said again.
        FolderRefused: a count is not accepted, or the kind is not grown.
    """
    walk = walk_of(desk.plan_of(work.farm))
    seen = [part for one in walked.seen for part in _by_batch(walk, one)]
    if walked.blank is Blank.NOTHING_YET:
        before = (one for one in told_before(work.farm, walked.key) if one.said is not Said.NOT_YET)
        told = (*walked.seen, *before)
        seen += [Sighting(Said.NOT_YET, batch=one.batch.key) for one in left_blank(desk, work.farm, told)]
    if not seen and not walked.frost and walked.blank is None:
        raise NotAccepted(where="walk", found=_("nothing seen and no frost"), accepted=_("at least one of them"))
    _require_key(walked.key)
    _require_once(seen)
    rows = _rows(seen, walked, walked.day or desk.today(), work.next_seq)
    held = {row.key for row in work.farm.records}
    require_sure(desk, work.farm, [row for row in rows if row.key not in held])
    return tuple(add_row(desk, work, RowAsked("records", values_of("records", row))) for row in rows)


def _rows(seen: Sequence[Sighting], walked: Walked, day: date, number: int) -> list[Record]:
    """The records of a walk, each under its key."""
    stem = walked.key or f"walk-{day}-{number}"
    values = [_values(one, walked, day) for one in seen]
    if walked.frost:
        frost = {"kind": str(RecordKind.FROST), "typed_at": walked.typed_at, "really": walked.really}
        values.append({**frost, "date": day.isoformat()})
    return [
        row_from_values("records", {**one, "key": _key(stem, place, one, named=walked.key is not None)})
        for place, one in enumerate(values, 1)
    ]


def _require_key(walk: str | None) -> None:
    if walk is not None and not (KEY.fullmatch(walk) and len(walk) <= _LONGEST_WALK):
        accepted = _("a key of at most {longest_walk} letters, digits, '_', '.' or '-'").format(
            longest_walk=_LONGEST_WALK
        )
        raise NotAccepted(where="walk", found=f"'{walk[:60]}'", accepted=accepted)


def _by_batch(walk: Walk, one: Sighting) -> Sequence[Sighting]:
    """What was said of a bed, as said of every sowing in it; a number is of one sowing, or of a kind."""
    about = [key for key in (one.batch, one.variety, one.bed) if key is not None]
    if len(about) != 1:
        found = _(" and ").join(f"'{key[:40]}'" for key in about) or "neither"
        raise NotAccepted(where="seen", found=found, accepted=_("a batch, a variety or a bed"))
    if one.bed is None:
        return [one]
    stop = next((stop for stop in walk.stops if one.bed and stop.bed == one.bed), None)
    if stop is None:
        raise NotAccepted(where="bed", found=f"'{one.bed[:40]}'", accepted=_("the key of a bed with something in it"))
    if one.count is not None and len(stop.growing) > 1:
        keys = ", ".join(growing.batch.key for growing in stop.growing)
        raise NotAccepted(
            where="bed",
            found=_("one number for all in '{bed}'").format(bed=one.bed),
            accepted=_("one each of {keys}").format(keys=keys),
        )
    return [replace(one, bed=None, batch=growing.batch.key) for growing in stop.growing]


def _require_once(seen: Sequence[Sighting]) -> None:
    named = [(one.said, one.batch or one.variety) for one in seen]
    twice = next((one for one in named if named.count(one) > 1), None)
    if twice is not None:
        found = _("'{key}' twice, {said}").format(key=twice[1], said=twice[0].replace("_", " "))
        raise NotAccepted(where="seen", found=found, accepted=_("one thing once of each sowing or kind"))


def _values(one: Sighting, walked: Walked, day: date) -> dict[str, object]:
    """The record of one thing said, by its columns."""
    _require_numbers(one)
    found: dict[str, object] = {
        "date": day.isoformat(),
        "kind": str(_kind_of(one)),
        "batch": one.batch,
        "variety": one.variety,
        "count": one.count,
        "share_pct": one.share_pct,
        "typed_at": one.typed_at or walked.typed_at,
        "really": walked.really,
    }
    reason = _REASONS.get(one.said, one.reason)
    if reason is not None:
        found["reason"] = str(reason)
    if one.not_ready is not None:
        found["note"] = _("{not_ready} not ready").format(not_ready=one.not_ready)
    return found


_REASONS = {Said.GONE_OVER: LossReason.GONE_OVER, Said.FROST_DAMAGE: LossReason.FROST}
_KINDS = {
    Said.STANDING: RecordKind.STANDING,
    Said.NOT_YET: RecordKind.NOT_YET,
    Said.GONE_OVER: RecordKind.WASTE,
    Said.PART_LOST: RecordKind.LOST,
    Said.ALL_LOST: RecordKind.LOST,
}


def _kind_of(one: Sighting) -> RecordKind:
    """Frost that took plants is a loss of them; else it spoiled what stood ready."""
    if one.said is Said.FROST_DAMAGE:
        return RecordKind.WASTE if one.count is None and one.share_pct is None else RecordKind.LOST
    return _KINDS[one.said]


def _require_numbers(one: Sighting) -> None:
    """Each thing said takes its own numbers, and no other."""
    where, said = str(one.batch or one.variety), one.said
    if said is Said.STANDING and one.count is None:
        raise NotAccepted(where=where, found=_("no number standing"), accepted=_("a number; 0 where none is ready"))
    if said is Said.PART_LOST and (one.count is None) == (one.share_pct is None):
        raise NotAccepted(
            where=where, found=_("part lost"), accepted=_("so many plants, or a share of them in per cent")
        )
    if one.share_pct is not None and said not in (Said.PART_LOST, Said.FROST_DAMAGE):
        raise NotAccepted(
            where=where,
            found=_("a share, {said}").format(said=said.replace("_", " ")),
            accepted=_("a share of plants lost"),
        )
    if one.count is not None and said in (Said.NOT_YET, Said.ALL_LOST):
        accepted = _("no number: {said} is of all of it").format(said=said.replace("_", " "))
        raise NotAccepted(where=where, found=str(one.count), accepted=accepted)


def _key(stem: str, place: int, values: dict[str, object], *, named: bool) -> str:
    """The key of a record: of a walk with a key of its own by what it is about, whatever it is sent with."""
    if not named:
        return f"{stem}-{place}"
    about = "|".join(str(values.get(name) or "") for name in ("kind", "batch", "variety", "reason"))
    return f"{stem}-{hashlib.sha256(about.encode()).hexdigest()[:_SHOWN]}"

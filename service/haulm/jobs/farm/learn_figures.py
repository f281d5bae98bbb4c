"""The farm's own figures: shown beside what stood there before, taken over or refused by the grower, never silently."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from haulm.errors import NotAccepted, NotFound
from haulm.evidence.past_years import THROUGH
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Variety
from haulm.forecast.learning import Figure, Learned
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _
from haulm.planning.keeping import crops_of
from haulm.planning.own_figures import OwnFigure, own_figures
from haulm.store.journal import Entry
from haulm.store.unit_of_work import UnitOfWork

ACCEPTED, REFUSED = "own-figure-accepted", "own-figure-refused"

LastEntry = Callable[[str, str], Entry | None]


class Standing(StrEnum):
    """Where an own figure stands."""

    OFFERED = "offered"
    ACCEPTED = "accepted"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class LearnedFigure:
    """An own figure, the figure in use today, what the grower has said of it, and the last season it holds already."""

    own: OwnFigure
    in_use: float
    standing: Standing
    through: int | None = None

    @property
    def learned(self) -> Learned:
        """Prior, own seasons and result."""
        return self.own.learned

    @property
    def offered(self) -> float:
        """The result as it would be written."""
        return rounded(self.own.figure, self.own.learned.value)


def list_own_figures(desk: Desk) -> tuple[LearnedFigure, ...]:
    """Every figure that a finished batch speaks of, by variety."""
    return _figures(desk, desk.store.farm(), desk.store.last_entry)


def accept_figure(desk: Desk, work: UnitOfWork, variety: str, field: str) -> LearnedFigure:
    """Write the result as the variety's own value, with its last season and an entry that keeps what stood before.

    Raises:
        NotFound: no finished batch speaks of this figure of the variety.
        NotAccepted: the field is none that is learnt.
    """
    return accept_figures(desk, work, [(variety, field)])[0]


def accept_figures(desk: Desk, work: UnitOfWork, named: Iterable[tuple[str, str]]) -> tuple[LearnedFigure, ...]:
    """Take several results over in one go, each by variety and figure, each with an entry of its own.

    Raises:
        NotFound: no finished batch speaks of one of them.
        NotAccepted: a field is none that is learnt.
    """
    asked = tuple(named)
    # All figures are worked out together, so they are asked for once however many are taken over.
    figures = _figures(desk, work.farm, work.last_entry) if asked else ()
    return tuple(_accepted(work, _figure(work.farm, figures, variety, field)) for variety, field in asked)


def _accepted(work: UnitOfWork, found: LearnedFigure) -> LearnedFigure:
    variety, figure = found.own.variety, found.own.figure
    # As it is by now: another figure of it may have been taken over in the same go.
    row = next(row for row in work.changed_farm.varieties if row.key == variety)
    seq = work.enter(ACCEPTED, _subject(variety, figure), _facts(found))
    changed: dict[str, Any] = {str(figure): found.offered, **_held(found)}
    work.put(replace(row, **changed), entry=seq)
    through = next(iter(_held(found).values()), None)
    return replace(found, in_use=found.offered, standing=Standing.ACCEPTED, through=through)


def refuse_figure(desk: Desk, work: UnitOfWork, variety: str, field: str) -> LearnedFigure:
    """Write down that the grower does not take the result over; it is offered again after another season.

    Raises:
        NotFound: no finished batch speaks of this figure of the variety.
        NotAccepted: the field is none that is learnt.
    """
    found = _figure(work.farm, _figures(desk, work.farm, work.last_entry), variety, field)
    work.enter(REFUSED, _subject(variety, found.own.figure), _facts(found))
    return replace(found, standing=Standing.REFUSED)


def rounded(figure: Figure, value: float) -> float:
    """A figure as it is written: weeks and stems to a tenth, germination to a whole percent."""
    return round(value) if figure is Figure.GERMINATION else round(value, 1)


def _figure(farm: Farm, figures: Iterable[LearnedFigure], variety: str, field: str) -> LearnedFigure:
    if field not in list(Figure):
        raise NotAccepted(where="figure", found=f"'{field}'", accepted=", ".join(Figure))
    if all(row.key != variety for row in farm.varieties):
        raise NotFound(kind=_("variety"), key=variety)
    found = next((one for one in figures if (one.own.variety, one.own.figure) == (variety, field)), None)
    if found is None:
        raise NotFound(kind=_("own figure"), key=f"{variety}/{field}")
    return found


def _figures(desk: Desk, farm: Farm, last_entry: LastEntry) -> tuple[LearnedFigure, ...]:
    crops = crops_of(farm)
    priors = _priors(farm.varieties, last_entry)
    figures = own_figures(farm, crops, desk.today(), priors)
    return tuple(LearnedFigure(one, one.in_use, _standing(one, last_entry), _through(farm, one)) for one in figures)


def _priors(varieties: tuple[Variety, ...], last_entry: LastEntry) -> dict[tuple[str, Figure], float]:
    """What stood before an own figure was taken over, as long as that figure still stands: no season counts twice."""
    found: dict[tuple[str, Figure], float] = {}
    for row in varieties:
        for figure in Figure:
            if (own := getattr(row, figure)) is None:
                continue
            entry = last_entry(ACCEPTED, _subject(row.key, figure))
            if entry is not None and entry.facts.get("value") == own:
                found[row.key, figure] = float(entry.facts["prior"])
    return found


def _standing(own: OwnFigure, last_entry: LastEntry) -> Standing:
    """As the last word on the same seasons has it."""
    subject = _subject(own.variety, own.figure)
    words = [entry for kind in (ACCEPTED, REFUSED) if (entry := last_entry(kind, subject)) is not None]
    last = max(words, key=lambda entry: entry.seq, default=None)
    if last is None or last.facts.get("seasons") != _seasons(own):
        return Standing.OFFERED
    if last.kind == REFUSED:
        return Standing.REFUSED
    return Standing.ACCEPTED if last.facts.get("value") == rounded(own.figure, own.in_use) else Standing.OFFERED


def _facts(found: LearnedFigure) -> dict[str, Any]:
    return {"value": found.offered, "prior": found.learned.prior.value, "seasons": _seasons(found.own)}


def _through(farm: Farm, own: OwnFigure) -> int | None:
    row = next(row for row in farm.varieties if row.key == own.variety)
    return getattr(row, THROUGH[own.figure]) if own.figure in THROUGH else None


def _held(found: LearnedFigure) -> dict[str, int]:
    """The last season that the figure holds; nothing seen up to then counts again."""
    through = THROUGH.get(found.own.figure)
    return {} if through is None else {through: max(int(one.season) for one in found.learned.seasons)}


def _seasons(own: OwnFigure) -> list[list[Any]]:
    return [[one.season, round(one.value, 3), one.batches, one.at_least] for one in own.learned.seasons]


def _subject(variety: str, figure: Figure) -> str:
    return f"varieties/{variety}/{figure}"

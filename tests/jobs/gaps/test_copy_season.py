"""A season is copied whole or not at all, under one entry, once, and can be taken back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from haulm.errors import NotAccepted
from haulm.farm.words import BatchStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.copy_season import COPIED, CopyAsked, copy_season, figures_offered
from haulm.jobs.gaps.see_next_year import see_next_year
from haulm.jobs.journal.take_back_entry import put_back_entry, take_back_entry
from haulm.store.unit_of_work import UnitOfWork
from support.desks import done, on
from support.season_farm import season_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]
PAST_YEARS = """
    key,variety,year,sow_date,method,first_cut,last_cut,stems,plants
    z24,zinnia,2024,2024-04-20,cover,2024-07-10,2024-09-20,900,60
    z25,zinnia,2025,2025-04-20,cover,2025-07-14,2025-09-24,950,60
    """


@pytest.fixture
def desk(open_desk: OpenDesk) -> Desk:
    return open_desk(season_farm())


def test_what_is_proposed_is_written_as_it_was_shown_under_one_entry(desk: Desk) -> None:
    shown = see_next_year(desk)
    before = desk.store.farm()

    found = done(desk, lambda work: copy_season(desk, work, CopyAsked()))

    assert found.batches == tuple(one.copy for one in shown.ticked) and found.into == 2028
    farm = desk.store.farm()
    assert farm.batches == (*before.batches, *found.batches) and farm.version == before.version + 1
    (entry,) = desk.store.entries_of(COPIED)
    assert entry.facts["batches"] == [batch.key for batch in found.batches]
    assert {batch.status for batch in found.batches} == {BatchStatus.PLANNED}


def test_copied_twice_nothing_changes_and_it_is_said_what_is_there(desk: Desk) -> None:
    done(desk, lambda work: copy_season(desk, work, CopyAsked()))
    farm, entries = desk.store.farm(), len(desk.store.entries())

    keys = tuple(one.batch.key for one in see_next_year(desk).sowings if one.is_copied)
    assert keys and done(desk, lambda work: copy_season(desk, work, CopyAsked(2027, keys))).batches == ()
    assert done(desk, lambda work: copy_season(desk, work, CopyAsked(2027))).batches == ()

    assert desk.store.farm().batches == farm.batches and len(desk.store.entries()) == entries
    assert not see_next_year(desk).ticked


def test_a_copy_that_was_moved_is_still_known_as_one(desk: Desk) -> None:
    found = done(desk, lambda work: copy_season(desk, work, CopyAsked(2027, ("zinnia-1",))))
    (batch,) = found.batches

    def moved(work: UnitOfWork) -> None:
        seq = work.enter("row-changed", f"batches/{batch.key}", {})
        work.put(replace(batch, sow_date=date(2028, 5, 1), sown=50), entry=seq)

    done(desk, moved)
    (one,) = (one for one in see_next_year(desk).sowings if one.batch.key == "zinnia-1")
    assert one.is_copied and not one.may_be_ticked


def test_only_what_is_named_is_copied_poor_kinds_and_tubers_too(desk: Desk) -> None:
    asked = CopyAsked(2027, ("sun-1", "dahlia-1"))
    found = done(desk, lambda work: copy_season(desk, work, asked))
    assert {batch.key for batch in found.batches} == {"sun-1-in-2028", "dahlia-1-in-2028"}


@pytest.mark.parametrize("key", ["peony-1", "william-1", "nobody"])
def test_what_stays_or_is_none_of_the_season_is_refused_and_nothing_is_written(desk: Desk, key: str) -> None:
    with pytest.raises(NotAccepted):
        done(desk, lambda work: copy_season(desk, work, CopyAsked(2027, ("zinnia-1", key))))
    assert not desk.store.entries_of(COPIED)


def test_a_day_that_is_over_is_refused_with_the_sowing_and_the_day(desk: Desk) -> None:
    on(desk, date(2027, 11, 8))
    with pytest.raises(NotAccepted) as refused:
        done(desk, lambda work: copy_season(desk, work, CopyAsked(2027, ("corn-autumn",))))
    assert "Blue cornflower" in refused.value.sentence and "Mon 27 Sep 2027" in refused.value.sentence


def test_it_is_taken_back_whole_and_can_be_copied_again(open_desk: OpenDesk) -> None:
    desk = open_desk(season_farm(past_years=PAST_YEARS))
    figures = tuple((one.own.variety, str(one.own.figure)) for one in figures_offered(desk))
    assert len(figures) >= 2
    before = desk.store.farm()
    written = done(desk, lambda work: copy_season(desk, work, CopyAsked(2027, ("zinnia-1",), figures)))
    (zinnia,) = (row for row in desk.store.farm().varieties if row.key == "zinnia")
    assert len(written.figures) == len(figures)
    for one in written.figures:
        assert getattr(zinnia, one.own.figure) == one.offered, "two figures of one kind are both taken over"

    seq = desk.store.entries_of(COPIED)[0].seq
    done(desk, lambda work: take_back_entry(desk, work, seq))
    after = desk.store.farm()
    assert (after.batches, after.varieties) == (before.batches, before.varieties)
    assert "zinnia-1" in {one.batch.key for one in see_next_year(desk).ticked}

    done(desk, lambda work: put_back_entry(desk, work, seq))
    assert "zinnia-1-in-2028" in {batch.key for batch in desk.store.farm().batches}

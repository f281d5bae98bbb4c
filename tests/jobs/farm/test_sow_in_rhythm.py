"""A rhythm is shown before it is written, and written whole under one entry or not at all."""

from collections.abc import Callable
from datetime import date

import pytest

from haulm.advice.rhythm import Rhythm
from haulm.farm.words import Method
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.sow_in_rhythm import ANY_BED, RhythmAsked, show_rhythm, sow_in_rhythm
from haulm.jobs.journal.take_back_entry import take_back_entry
from support.desks import done
from support.farms import grower_folder

SITE = """
    format = 1
    name = "Rhythm farm"
    latitude = 52.1
    [temperatures]
    min_c = [1.3, 1.4, 2.5, 4.0, 7.1, 10.1, 12.2, 12.2, 10.1, 7.4, 4.3, 2.4]
    max_c = [6.6, 7.9, 10.6, 13.6, 16.8, 19.7, 22.0, 22.0, 19.5, 15.0, 10.2, 7.2]
    """
BEDS = "key,name,metres,width_cm\nlong,Long bed,12,120\nshort,Short bed,6,120"
ASKED = Rhythm("zinnia", date(2027, 6, 14), date(2027, 8, 1), 3, 72, Method.COVER)


@pytest.fixture
def desk(open_desk: Callable[[dict[str, bytes]], Desk]) -> Desk:
    return open_desk(grower_folder(site=SITE, varieties="key,name\nzinnia,Zinnia", beds=BEDS))


def test_it_is_shown_before_it_is_written(desk: Desk) -> None:
    shown = show_rhythm(desk, RhythmAsked(ASKED, "long"))

    assert desk.store.farm().batches == ()
    assert [one.batch.sow_date for one in shown.sowings] == [date(2027, 6, 14), date(2027, 7, 5), date(2027, 7, 26)]
    assert all(one.planted and one.batch.sow_date and one.planted > one.batch.sow_date for one in shown.sowings)
    first, last = shown.sowings[0], shown.sowings[-1]
    assert first.cut is not None and date(2027, 8, 1) < first.cut[0] < first.cut[1] < date(2027, 12, 1)
    assert first.sure is not None and last.sure is not None and first.sure > last.sure, "the last meet the frost"


def test_what_is_written_is_what_was_shown_under_one_entry(desk: Desk) -> None:
    shown = show_rhythm(desk, RhythmAsked(ASKED, "long"))
    version = desk.store.farm().version

    written = done(desk, lambda work: sow_in_rhythm(desk, work, RhythmAsked(ASKED, "long")))

    assert written == tuple(one.batch for one in shown.sowings) == desk.store.farm().batches
    assert desk.store.farm().version == version + 1
    (entry,) = [entry for entry in desk.store.entries() if entry.kind == "rhythm-sown"]
    assert entry.facts["batches"] == [batch.key for batch in written]


def test_a_second_rhythm_of_the_kind_on_the_same_days_gets_names_of_its_own(desk: Desk) -> None:
    first = done(desk, lambda work: sow_in_rhythm(desk, work, RhythmAsked(ASKED)))
    second = done(desk, lambda work: sow_in_rhythm(desk, work, RhythmAsked(ASKED)))
    assert len({batch.key for batch in (*first, *second)}) == 6


def test_where_there_is_room_means_a_bed_that_is_long_enough_and_none_where_none_is(desk: Desk) -> None:
    many = Rhythm("zinnia", date(2027, 6, 14), date(2027, 6, 28), 1, 160, Method.COVER)
    shown = show_rhythm(desk, RhythmAsked(many, ANY_BED))
    assert sorted(one.batch.bed or "" for one in shown.sowings) == ["", "", "long"], "each takes 12 m for months"


@pytest.mark.parametrize(
    ("asked", "column"),
    [
        (RhythmAsked(Rhythm("peony", ASKED.first, ASKED.last, 3, 72, Method.COVER)), "variety"),
        (RhythmAsked(ASKED, "attic"), "bed"),
        (RhythmAsked(Rhythm("zinnia", ASKED.last, ASKED.first, 3, 72, Method.COVER)), "last"),
        (RhythmAsked(Rhythm("zinnia", ASKED.first, date(2028, 12, 1), 1, 72, Method.COVER)), "last"),
        (RhythmAsked(Rhythm("zinnia", ASKED.first, ASKED.last, 0, 72, Method.COVER)), "every"),
        (RhythmAsked(Rhythm("zinnia", ASKED.first, ASKED.last, 3, 0, Method.COVER)), "sown"),
        (RhythmAsked(Rhythm("zinnia", ASKED.first, ASKED.last, 3, 72, Method.ESTABLISHED)), "method"),
        (RhythmAsked(Rhythm("zinnia", date(2127, 1, 1), date(2127, 1, 2), 3, 72, Method.COVER)), "first"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field_and_nothing_is_written(
    desk: Desk, asked: RhythmAsked, column: str
) -> None:
    for ask in (
        lambda: show_rhythm(desk, asked),
        lambda: done(desk, lambda work: sow_in_rhythm(desk, work, asked)),
    ):
        with pytest.raises(FolderRefused) as refused:
            ask()
        assert column in {fault.column for fault in refused.value.faults}
    assert desk.store.farm().batches == ()


def test_a_rhythm_is_taken_back_whole(desk: Desk) -> None:
    done(desk, lambda work: sow_in_rhythm(desk, work, RhythmAsked(ASKED)))
    seq = desk.store.entries()[-1].seq
    done(desk, lambda work: take_back_entry(desk, work, seq))
    assert desk.store.farm().batches == ()

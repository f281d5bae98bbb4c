"""Sowings that close a gap, against a small model of a farm that knows the truth."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from haulm.advice.options.option import Proof
from haulm.advice.options.steps import Terms
from haulm.advice.options.succession import sowing_options
from haulm.farm.beds import Bed
from haulm.farm.site import FrostDates, MonthDay
from haulm.farm.weeks import day_in_words
from haulm.farm.words import BedKind, Method
from support.advice_builders import MONDAY, PLACES_PER_TRAY, SITE, TODAY, SmallModel

BEST_DAY = MONDAY - timedelta(weeks=10)
"""A kind that flowers ten weeks after sowing is ready on the first Monday."""


class TestOneSowing:
    def test_a_gap_is_closed_by_the_smallest_sowing_in_time(self) -> None:
        (option,) = sowing_options(SmallModel().search())
        (batch,) = option.batches
        assert option.closes and option.after == Proof((1.0,), 0.0)
        assert 30 <= batch.places <= 40
        assert BEST_DAY - timedelta(weeks=1) <= batch.sow_date <= BEST_DAY

    def test_its_last_day_is_the_last_sowing_that_still_flowers_in_time(self) -> None:
        (option,) = sowing_options(SmallModel().search())
        assert option.decide_by == BEST_DAY

    def test_where_plants_give_less_than_the_look_promises_the_batch_grows_until_it_closes(self) -> None:
        (option,) = sowing_options(SmallModel(gives=0.6).search())
        assert option.closes and option.batches[0].places >= 50

    def test_where_plants_give_more_than_the_look_promises_the_batch_shrinks_while_it_closes(self) -> None:
        (option,) = sowing_options(SmallModel(stems=200, gives=1.6).search())
        assert option.closes and 125 <= option.batches[0].places <= 180

    def test_each_method_has_an_option_of_its_own_and_bought_plants_are_called_plugs(self) -> None:
        methods = (Method.DIRECT, Method.HEATED, Method.PLUGS)
        found = sowing_options(SmallModel().search(methods))
        assert [option.batches[0].method for option in found] == list(methods)
        assert [option.kind for option in found] == ["succession", "succession", "plugs"]
        assert [option.cost_minor for option in found] == [3 * option.batches[0].places for option in found]

    def test_what_is_told_is_what_was_proved(self) -> None:
        model = SmallModel()
        for option in sowing_options(model.search((Method.DIRECT, Method.COVER))):
            assert option.batches in model.asked
            assert model.prove(option.batches) == option.after

    def test_nothing_is_suggested_for_a_gap_that_no_sowing_can_reach(self) -> None:
        assert sowing_options(SmallModel(first_due=TODAY + timedelta(weeks=8)).search()) == []

    def test_no_key_of_the_farm_is_taken_again(self) -> None:
        model = SmallModel()
        (batch,) = sowing_options(model.search())[0].batches
        (other,) = sowing_options(model.search(batches=(batch,)))[0].batches
        assert other.key != batch.key and other.sow_date == batch.sow_date


class TestTubers:
    """The last frost of a late year is on 14 May, and a kind flowers ten weeks after it is planted."""

    FROST = FrostDates(
        MonthDay(4, 10), MonthDay(4, 28), MonthDay(5, 14), MonthDay(10, 1), MonthDay(10, 16), MonthDay(11, 2)
    )

    @pytest.mark.parametrize(("first_due", "is_risky"), [(MONDAY, True), (MONDAY + timedelta(weeks=6), False)])
    def test_where_a_late_frost_may_follow_the_planting_that_is_said(self, first_due: date, is_risky: bool) -> None:
        terms = Terms(replace(SITE, frost=self.FROST), TODAY, PLACES_PER_TRAY)
        (option,) = sowing_options(SmallModel(first_due=first_due).search((Method.TUBER,), terms=terms))
        (planted,) = option.batches
        assert option.closes and planted.sow_date is not None
        assert (planted.sow_date < date(2027, 5, 14)) is is_risky is ("In a late year a frost" in option.sentence)


class TestRoom:
    BED = Bed("north", "North", metres=10.0, width_cm=100.0)

    def test_a_batch_stands_in_a_bed_with_its_metres(self) -> None:
        (option,) = sowing_options(SmallModel().search(beds=[self.BED]))
        assert option.batches[0].bed == "north"
        assert option.batches[0].metres == pytest.approx(option.batches[0].places / 5 * 0.2)

    def test_nothing_is_suggested_where_no_bed_has_room(self) -> None:
        assert sowing_options(SmallModel().search(beds=[replace(self.BED, metres=0.5)])) == []

    def test_nothing_is_raised_where_no_bench_has_room(self) -> None:
        bench = Bed("bench", "Bench", trays=0, kind=BedKind.BENCH)
        found = sowing_options(SmallModel().search((Method.HEATED, Method.DIRECT), beds=[bench]))
        assert [option.batches[0].method for option in found] == [Method.DIRECT]


class TestSeveral:
    def test_a_gap_longer_than_one_harvest_is_closed_by_sowings_one_after_another(self) -> None:
        model = SmallModel(weeks=6, flowers_weeks=2)
        (option,) = sowing_options(model.search())
        days = [batch.sow_date for batch in option.batches]
        assert option.closes and model.prove(option.batches) == Proof((1.0,) * 6, 0.0)
        assert len(days) == 3 and days == sorted(set(days))

    def test_the_sentence_names_each_with_its_date(self) -> None:
        (option,) = sowing_options(SmallModel(weeks=4, flowers_weeks=2).search())
        assert len(option.batches) == 2
        assert all(f"{batch.places} places" in option.sentence for batch in option.batches)
        assert all(day_in_words(batch.sow_date) in option.sentence for batch in option.batches)

    def test_the_set_can_be_taken_until_its_first_sowing_is_too_late(self) -> None:
        (option,) = sowing_options(SmallModel(weeks=4, flowers_weeks=2).search())
        assert option.decide_by == min(batch.sow_date for batch in option.batches) == BEST_DAY

    def test_the_beds_hold_all_of_them_at_once(self) -> None:
        one_is_enough = Bed("north", "North", metres=2.0, width_cm=100.0)
        found = sowing_options(SmallModel(weeks=4, flowers_weeks=2).search(beds=[one_is_enough]))
        assert not any(option.closes for option in found)
        two = [one_is_enough, replace(one_is_enough, key="south")]
        (option,) = sowing_options(SmallModel(weeks=4, flowers_weeks=2).search(beds=two))
        assert option.closes and {batch.bed for batch in option.batches} == {"north", "south"}

    def test_what_four_sowings_cannot_close_is_told_with_what_stays_missing(self) -> None:
        model = SmallModel(weeks=12, flowers_weeks=2)
        (option,) = sowing_options(model.search())
        assert not option.closes and len(option.batches) == 4
        assert option.after == model.prove(option.batches)
        assert option.after is not None and option.after.missing == 4 * 30
        assert "120 stay missing" in option.sentence

    def test_sowings_that_hardly_help_are_not_told(self) -> None:
        (told,) = sowing_options(SmallModel(weeks=24, flowers_weeks=2).search())
        assert not told.closes and told.after is not None and told.after.missing == (24 - 8) * 30
        assert sowing_options(SmallModel(weeks=90, flowers_weeks=2).search()) == []


def test_a_level_that_only_luck_reaches_is_not_said_to_be_reached() -> None:
    """A batch that fails in one season of four can't make a line nine tenths sure, however large it is."""
    model = SmallModel()
    plain = model.search()
    sketch = replace(
        plain.sketch,
        missing=np.full((1, 4), 30, np.float32),
        weights=np.full(4, 0.25),
        levels=np.array([0.91]),
    )
    fails = np.array([1, 1, 1, 0], np.float32)

    def look(candidate: object) -> object:
        seen = plain.look(candidate)  # type: ignore[arg-type]
        return replace(seen, before=seen.before * fails, upto=seen.upto * fails)

    search = replace(plain, levels=(0.91,), sketch=sketch, look=look, prove=lambda _: Proof((0.75,), 7.5))  # type: ignore[arg-type]
    assert not any(option.closes for option in sowing_options(search))

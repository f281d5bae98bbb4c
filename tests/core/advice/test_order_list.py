"""Laws of the list of what is to be ordered."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.next_season import begun_on
from haulm.advice.options.steps import Terms, order_days
from haulm.advice.order_list import order_list
from haulm.farm.at_home import AtHome, holds_until, needed
from haulm.farm.batches import Batch
from haulm.farm.words import InHand, Method, Needed
from support.farms import site
from support.forecast_builders import crop

TODAY = date(2027, 11, 15)
KINDS = {key: crop(key=key, name=key.capitalize()) for key in ("aster", "basil", "clary")}
methods = st.sampled_from(list(Method))


@st.composite
def plans(draw: st.DrawFn) -> list[Batch]:
    rows = draw(
        st.lists(
            st.tuples(st.sampled_from(sorted(KINDS)), methods, st.integers(0, 500), st.integers(0, 500)), max_size=8
        )
    )
    return [
        Batch(f"b{at}", kind, method=method, sown=places, sow_date=TODAY + timedelta(days=ahead))
        for at, (kind, method, places, ahead) in enumerate(rows)
    ]


ticks = st.lists(
    st.builds(
        AtHome,
        st.sampled_from(sorted(KINDS)),
        st.sampled_from(list(Needed)),
        st.sampled_from(list(InHand)),
        st.dates(TODAY - timedelta(days=400), TODAY),
    ),
    max_size=6,
    unique_by=lambda tick: (tick.variety, tick.what),
)


def terms(rows: list[AtHome]) -> Terms:
    return Terms(site(), TODAY, 100, tuple(rows))


@given(plans(), ticks)
def test_what_is_ordered_is_the_plan_less_what_is_left_and_never_less_than_nothing(
    plan: list[Batch], rows: list[AtHome]
) -> None:
    found = order_list(plan, KINDS, terms(rows))

    for one in found:
        own = [b for b in plan if b.variety == one.crop.key and needed(b.method) is one.what]
        assert one.places == sum(b.places for b in own) and one.sowings == len(own)
        assert 0 <= one.left <= one.places and one.to_order == one.places - one.left >= 0
        assert one.bought >= one.to_order and one.bought % one.pack == 0
        assert (one.bought == 0) is (one.to_order == 0)
        assert one.what is not Needed.SEED or one.bought == one.to_order
    named = {(b.variety, needed(b.method)) for b in plan if needed(b.method) is not None}
    assert {(one.crop.key, one.what) for one in found} == named


@given(plans(), ticks)
def test_what_is_at_home_on_the_day_of_a_sowing_is_not_ordered_for_it(plan: list[Batch], rows: list[AtHome]) -> None:
    held = {(tick.variety, tick.what): holds_until(tick.date, site().latitude) for tick in rows}
    for one in order_list(plan, KINDS, terms(rows)):
        until = held.get((one.crop.key, one.what), date.min)
        own = [b for b in plan if b.variety == one.crop.key and needed(b.method) is one.what]
        beyond = [b for b in own if (begun_on(b) or date.min) > until]
        assert one.to_order == sum(b.places for b in beyond)
        assert (one.wanted_by is None) is (not beyond)


@given(plans())
def test_it_is_ordered_so_early_that_it_is_here_on_the_first_day_or_it_is_said_to_be_late(plan: list[Batch]) -> None:
    for one in order_list(plan, KINDS, terms([])):
        assert one.wanted_by == one.first
        wait = timedelta(days=order_days(one.crop, _way(plan, one.crop.key, one.what), site().costs))
        if one.order_by is None:
            assert one.is_late
        else:
            assert TODAY <= one.order_by <= one.first - wait and site().is_work_day(one.order_by)


@given(plans(), ticks)
def test_it_is_by_day_what_is_late_first_and_what_is_at_home_last(plan: list[Batch], rows: list[AtHome]) -> None:
    found = order_list(plan, KINDS, terms(rows))
    order = [2 if one.wanted_by is None else 0 if one.is_late else 1 for one in found]
    asked = [one.order_by for one in found if one.order_by is not None]
    assert order == sorted(order) and asked == sorted(asked)


def test_plugs_are_ordered_by_the_tray_and_tubers_by_the_bag() -> None:
    day = date(2028, 5, 1)
    plan = [
        Batch("p", "aster", method=Method.PLUGS, plants=130, plant_out_date=day),
        Batch("t", "basil", method=Method.TUBER, sown=31, sow_date=day),
        Batch("s", "clary", method=Method.DIRECT, sown=31, sow_date=day),
    ]
    found = {one.crop.key: one for one in order_list(plan, KINDS, terms([]))}

    assert (found["aster"].to_order, found["aster"].bought, found["aster"].pack) == (130, 250, 125)
    assert (found["basil"].to_order, found["basil"].bought, found["basil"].pack) == (31, 40, 10)
    assert (found["clary"].to_order, found["clary"].bought, found["clary"].pack) == (31, 31, 1)


def _way(plan: list[Batch], kind: str, what: Needed) -> Method:
    own = (b for b in plan if b.variety == kind and needed(b.method) is what)
    return min(own, key=lambda b: (begun_on(b) or date.max, b.key)).method

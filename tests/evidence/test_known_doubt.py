"""Past years narrow the doubt where a sowing is made; no season counts twice, whoever told it."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from math import hypot
from typing import Any

import pytest

from haulm.crop_library.library import crop_for
from haulm.evidence.known_doubt import known_doubts
from haulm.evidence.past_years import WhyNot, told_of
from haulm.evidence.seen import Seen
from haulm.farm.past_years import PastYear
from haulm.farm.snapshot import Farm
from haulm.farm.words import Method, RecordKind
from haulm.forecast.doubt import FigureDoubt
from haulm.forecast.doubt_sizes import usual_doubt
from haulm.forecast.inputs import Evidence
from haulm.forecast.learning import Figure
from haulm.planning.growth import sowing_of
from haulm.planning.own_figures import own_figures
from support.demo_farms import demo_farm
from support.farms import batch, record, variety

ZINNIA = variety("zinnia_white", name="White zinnia")
APRICOT = variety("zinnia_apricot", name="Apricot zinnia")
TODAY = dt.date(2027, 3, 1)


def farm(*years: PastYear, **more: Any) -> Farm:
    """Two zinnias in the demo farm's weather; one of them was sown last year as well."""
    old = batch("old", sow="2026-04-20", variety="zinnia_white", method=Method.DIRECT)
    new = batch("new", sow="2027-04-20", variety="zinnia_white", method=Method.DIRECT)
    made = replace(
        Farm(demo_farm().site, (ZINNIA, APRICOT), batches=(old, new)),
        temperatures=demo_farm().temperatures,
        past_years=years,
    )
    return replace(made, **more)


def totals(year: int = 2026, **more: Any) -> PastYear:
    return replace(PastYear(f"y{year}", year, "zinnia_white", stems=800, plants=100), **more)


def left(found: FigureDoubt) -> float:
    return hypot(found.kind_sd, found.variety_sd)


def why_not(told: Farm, figure: Figure = Figure.STEMS) -> list[WhyNot | None]:
    return [one.why_not for one in told_of(told, figure)]


def test_without_years_a_sowing_has_the_usual_doubt_exactly() -> None:
    assert sowing_of(farm(), farm().batches[1], crop_for(ZINNIA)).doubt == usual_doubt(crop_for(ZINNIA))


def test_a_year_of_totals_narrows_the_stems_of_a_sowing_at_once_and_leaves_the_weeks() -> None:
    known = farm(totals())
    doubt = sowing_of(known, known.batches[1], crop_for(ZINNIA)).doubt
    usual = usual_doubt(crop_for(ZINNIA))

    assert left(doubt.stems) < 0.8 * left(usual.stems)
    assert doubt.stems.shift < -0.1
    assert doubt.need == usual.need


def test_a_first_cut_counts_with_its_sowing_alone() -> None:
    days = {"stems": None, "plants": None, "first_cut": dt.date(2026, 7, 20)}
    undated, dated = farm(totals(**days)), farm(totals(**days, sow_date=dt.date(2026, 4, 20)))

    assert why_not(undated, Figure.WEEKS) == [WhyNot.NO_SOWING]
    assert why_not(dated, Figure.WEEKS) == [None]
    assert left(known_doubts(dated)["zinnia_white"].need) < left(known_doubts(undated)["zinnia_white"].need)


def test_a_later_first_cut_says_a_larger_need() -> None:
    days = {"stems": None, "plants": None, "sow_date": dt.date(2026, 4, 20)}
    early, late = (farm(totals(**days, first_cut=dt.date(2026, 7, day))) for day in (5, 25))

    shifts = [known_doubts(one)["zinnia_white"].need.shift for one in (early, late)]
    assert shifts[0] < shifts[1]


def test_records_of_the_same_season_go_before_what_was_entered_of_it_figure_by_figure() -> None:
    first = record("r1", kind=RecordKind.FIRST_CUT, day="2026-07-18", batch="old")
    cut = record("r2", kind=RecordKind.CUT, day="2026-07-20", batch="old", count=60)
    row = totals(sow_date=dt.date(2026, 4, 20), first_cut=dt.date(2026, 7, 19))

    only_first = farm(row, records=(first,))
    both = farm(row, records=(first, cut))

    assert (why_not(only_first), why_not(only_first, Figure.WEEKS)) == ([None], [WhyNot.RECORDED])
    assert (why_not(both), why_not(both, Figure.WEEKS)) == ([WhyNot.RECORDED], [WhyNot.RECORDED])
    assert known_doubts(both)["zinnia_white"] == usual_doubt(crop_for(ZINNIA))
    assert why_not(farm(totals(2025), records=(first, cut))) == [None]


def test_a_varietys_own_row_goes_before_that_of_its_kind() -> None:
    whole = PastYear("k", 2026, kind="zinnia", stems=1000, plants=100)

    assert why_not(farm(totals(), whole)) == [None, WhyNot.BY_VARIETY]
    assert why_not(farm(totals(2025), whole)) == [None, None]


def test_an_accepted_figure_is_not_moved_by_the_seasons_it_holds_and_stays_narrow() -> None:
    held = replace(ZINNIA, stems_per_plant=9.0, stems_through=2026)
    accepted = farm(totals(2025), totals(2026), varieties=(held, APRICOT))
    before = known_doubts(farm(totals(2025), totals(2026)))

    after = known_doubts(accepted)
    assert after["zinnia_white"].stems.shift == pytest.approx(0.0)
    assert left(after["zinnia_white"].stems) <= left(before["zinnia_white"].stems) + 1e-12
    assert after["zinnia_apricot"].stems == before["zinnia_apricot"].stems


def test_records_of_a_season_that_a_figure_holds_tell_the_forecast_nothing_of_it() -> None:
    held = replace(ZINNIA, stems_per_plant=9.0, stems_through=2026)
    accepted = farm(varieties=(held, APRICOT))
    cut, end = dt.date(2026, 7, 18), dt.date(2026, 9, 30)
    over = {"old": Evidence(first_cut=cut, cut_so_far=600, cut_until=end, finished_on=end)}
    found = Seen(accepted.batches, {**over, "new": Evidence()}, (), ())

    old, new = (sowing_of(accepted, one, crop_for(held), found).doubt for one in accepted.batches)
    assert (left(old.stems), left(old.need)) == (0.0, left(new.need))
    assert left(new.stems) > 0


def test_a_season_after_those_that_a_figure_holds_moves_it() -> None:
    held = replace(ZINNIA, stems_per_plant=9.0, stems_through=2025)
    poor = farm(totals(2025), totals(2026, stems=300), varieties=(held, APRICOT))

    assert known_doubts(poor)["zinnia_white"].stems.shift < -0.1


def test_own_figures_offer_what_past_years_say_and_no_season_twice() -> None:
    crops = {row.key: crop_for(row) for row in (ZINNIA, APRICOT)}
    offered = own_figures(farm(totals(2025), totals(2026)), crops, TODAY)
    held = replace(ZINNIA, stems_per_plant=9.0, stems_through=2026)
    again = own_figures(
        farm(totals(2025), totals(2026), varieties=(held, APRICOT)), crops | {"zinnia_white": crop_for(held)}, TODAY
    )

    assert [(one.variety, one.figure, len(one.learned.seasons)) for one in offered] == [
        ("zinnia_white", Figure.STEMS, 2)
    ]
    assert again == ()


PLANNED = (
    batch("plugs", variety="zinnia_white", method=Method.PLUGS, sow_date=None, plant_out_date=dt.date(2027, 5, 1)),
    batch("undated", variety="zinnia_white", method=Method.ESTABLISHED, sow_date=None),
    batch("heated", sow="2027-04-19", variety="zinnia_white", method=Method.HEATED, bed="t1"),
    batch("apricot", sow="2027-03-01", variety="zinnia_apricot", method=Method.COVER),
)


@pytest.mark.parametrize("dates", [{"sow_date": dt.date(2026, 4, 19)}, {}])
@pytest.mark.parametrize("planned", [*((one,) for one in PLANNED), PLANNED], ids=lambda rows: rows[-1].key)
def test_what_is_planned_changes_nothing_of_what_is_known_of_the_past(planned: Any, dates: Any) -> None:
    known = farm(totals(first_cut=dt.date(2026, 7, 20), **dates), totals(2025, first_cut=dt.date(2025, 7, 9)))
    more = replace(known, batches=(*known.batches, *planned))
    without = replace(known, batches=())

    assert known_doubts(more) == known_doubts(known) == known_doubts(without)
    assert [told_of(more, one) for one in Figure if one is not Figure.GERMINATION] == [
        told_of(known, one) for one in Figure if one is not Figure.GERMINATION
    ]


def test_every_batch_of_the_demo_says_nothing_of_its_past_years() -> None:
    """Its rows say how they were grown; and where they do not, the plan does not either."""
    silent = tuple(replace(row, method=None, tunnel=False) for row in demo_farm().past_years)
    for years in (demo_farm().past_years, silent):
        whole = replace(demo_farm(), past_years=years, records=())
        assert known_doubts(whole) == known_doubts(replace(whole, batches=(), beds=()))


def test_what_grew_in_a_tunnel_has_a_larger_need_for_the_same_first_cut() -> None:
    days = {"stems": None, "plants": None, "sow_date": dt.date(2026, 4, 10), "first_cut": dt.date(2026, 7, 15)}
    outside, inside = (farm(totals(**days, method=Method.HEATED, tunnel=tunnel)) for tunnel in (False, True))

    shifts = [known_doubts(one)["zinnia_white"].need.shift for one in (outside, inside)]
    assert shifts[0] < shifts[1]


def test_a_record_of_this_season_leaves_the_very_same_answer() -> None:
    known = farm(totals())
    more = replace(known, records=(record("r", kind=RecordKind.SOWN, day="2027-04-20", batch="new"),))

    assert known_doubts(more) is known_doubts(known)


@pytest.mark.parametrize("figure", ["stems_per_plant", "weeks_to_flower"])
def test_a_past_year_beside_a_figure_of_0_is_told_as_it_was(figure: str) -> None:
    of = farm(totals(first_cut=dt.date(2026, 7, 20), sow_date=dt.date(2026, 4, 20), method=Method.DIRECT))
    rows = tuple(replace(row, **{figure: 0.0}) for row in of.varieties)  # type: ignore[arg-type]
    nothing = replace(of, varieties=rows)

    assert set(known_doubts(nothing)) == {"zinnia_white", "zinnia_apricot"}
    told = own_figures(nothing, {row.key: crop_for(row) for row in rows}, TODAY)
    stems = next(one for one in told if one.figure is Figure.STEMS)
    assert stems.learned.seasons[0].value == pytest.approx(800 / 100 / 0.85 / 0.95)

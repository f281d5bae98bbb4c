"""GET /v1/back-plan, /v1/own-figures and /v1/honesty through the application."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from support.door import Door
from support.farms import grower_folder
from support.known_farm import CUSTOMERS, SITE, growing_farm

OpenDoor = Callable[[dict[str, bytes]], Door]

FROST = """
    [frost]
    last_spring_p10 = "04-05"
    last_spring_p50 = "04-20"
    last_spring_p90 = "05-08"
    first_autumn_p10 = "10-01"
    first_autumn_p50 = "10-18"
    first_autumn_p90 = "11-05"
    """


def taught_farm() -> dict[str, bytes]:
    """Two finished batches of last year: one cut to the end with stems left, one cut to order only."""
    return grower_folder(
        site=SITE + FROST,
        varieties="key,name,stems_per_plant,weeks_to_flower\ncosmos,Cosmos,10,11\ncalendula,Calendula,10,8",
        batches="""
            key,variety,sow_date,method,sown,plants,status
            c1,cosmos,2026-04-15,direct,200,100,finished
            k1,calendula,2026-04-15,direct,200,100,finished
            """,
        records="""
            key,date,kind,batch,count,left,final
            r1,2026-05-05,germinated,c1,120,,yes
            r2,2026-07-10,first_cut,c1,,,
            r3,2026-08-01,cut,c1,1000,,
            r4,2026-09-01,cut,c1,500,400,
            r5,2026-09-10,finished,c1,,,
            r6,2026-08-01,cut,k1,50,,
            r7,2026-09-10,finished,k1,,,
            """,
        customers=CUSTOMERS,
    )


def figures(door: Door) -> dict[tuple[str, str], dict[str, object]]:
    return {(one["variety"], one["figure"]): one for one in door.get("/v1/own-figures")["figures"]}


class TestBackPlan:
    def test_a_week_is_answered_with_dates_in_season_and_the_last_sowing_of_the_year(self, open_door: OpenDoor) -> None:
        door = open_door(growing_farm())
        found = door.get("/v1/back-plan", product="lagurus", week="2027-W37", method="direct", stems=20, confidence=0.5)

        assert found["earliest"]["date"] <= found["best"]["date"] <= found["latest"]["date"]
        assert found["best"]["confidence"] >= found["confidence"]
        assert "20 stems in week 37 of 2027" in found["sentence"]
        last = found["last_sowing"]
        assert last["rule"] and last["advised"] == min(day for day in (last["rule"], last["forecast"]) if day)

    def test_too_many_stems_are_answered_with_places_and_not_with_silence(self, open_door: OpenDoor) -> None:
        door = open_door(growing_farm())
        found = door.get(
            "/v1/back-plan", product="lagurus", week="2027-W37", method="direct", stems=5000, confidence=0.5
        )

        assert found["earliest"] is None and found["best"]["confidence"] == 0
        assert found["places_needed"] > 100 and f"{found['places_needed']:,} places" in found["sentence"]

    @pytest.mark.parametrize(
        ("query", "status"),
        [
            ({"product": "rose"}, 404),
            ({"week": "2027-W20"}, 422),
            ({"method": "established"}, 422),
            ({"method": "tuber"}, 422),
            ({"stems": 0}, 422),
        ],
    )
    def test_what_cannot_be_planned_is_refused(
        self, open_door: OpenDoor, query: dict[str, object], status: int
    ) -> None:
        asked = {"product": "lagurus", "week": "2027-W37", "method": "direct", "stems": 20, **query}

        open_door(growing_farm()).refused(status, "GET", "/v1/back-plan", params=asked)


class TestOwnFigures:
    def test_a_finished_batch_with_stems_left_teaches_its_yield(self, open_door: OpenDoor) -> None:
        """1900 stems of 100 plants, 0.8075 of what grew: 23.5 a plant against 10 before."""
        found = figures(open_door(taught_farm()))["cosmos", "stems_per_plant"]

        assert found["before"] == found["in_use"] == 10
        assert found["seasons"] == [{"season": "2026", "value": 23.53, "batches": 1, "at_least": False}]
        assert 10 < found["offered"] < 23.5
        assert found["standing"] == "offered"

    def test_stems_cut_with_nothing_said_of_the_rest_teach_no_low_yield(self, open_door: OpenDoor) -> None:
        found = figures(open_door(taught_farm()))["calendula", "stems_per_plant"]

        assert found["seasons"][0]["at_least"] is True  # type: ignore[index]
        assert found["offered"] == pytest.approx(10, abs=0.1)

    def test_a_first_cut_teaches_weeks_and_a_final_count_germination(self, open_door: OpenDoor) -> None:
        found = figures(open_door(taught_farm()))

        assert found["cosmos", "germination_pct"]["own"] == pytest.approx(60, abs=0.5)
        weeks = found["cosmos", "weeks_to_flower"]
        assert weeks["by_method"] == [{"method": "direct", "value": weeks["by_method"][0]["value"], "batches": 1}]  # type: ignore[index]
        assert 11 < weeks["offered"] < weeks["own"]  # type: ignore[operator]

    def test_an_accepted_figure_is_the_variety_s_own_and_teaches_nothing_twice(self, open_door: OpenDoor) -> None:
        door = open_door(taught_farm())
        offered = figures(door)["cosmos", "stems_per_plant"]["offered"]
        accepted = door.post("/v1/own-figures/cosmos/stems_per_plant/accept")

        assert (accepted["standing"], accepted["in_use"]) == ("accepted", offered)
        assert door.get("/v1/varieties/cosmos")["stems_per_plant"] == offered
        again = figures(door)["cosmos", "stems_per_plant"]
        assert (again["before"], again["offered"], again["standing"]) == (10, offered, "accepted")

    def test_a_refused_figure_stays_as_it_was_and_is_not_offered_again(self, open_door: OpenDoor) -> None:
        door = open_door(taught_farm())
        refused = door.post("/v1/own-figures/cosmos/stems_per_plant/refuse")

        assert refused["standing"] == figures(door)["cosmos", "stems_per_plant"]["standing"] == "refused"
        assert door.get("/v1/varieties/cosmos")["stems_per_plant"] == 10

    @pytest.mark.parametrize(("path", "status"), [("rose/stems_per_plant", 404), ("cosmos/colour", 422)])
    def test_what_no_season_speaks_of_is_refused(self, open_door: OpenDoor, path: str, status: int) -> None:
        open_door(taught_farm()).refused(status, "POST", f"/v1/own-figures/{path}/accept")


def test_a_farm_of_which_nothing_was_said_yet_has_an_empty_board(open_door: OpenDoor) -> None:
    found = open_door(growing_farm()).get("/v1/honesty")

    assert found["promises"] == [] and found["skill_over_weeks_rule"] is None
    assert found["within_80"] == {"held": 0, "decided": 0, "open": 0}

"""Own figures are offered, taken over or refused, and the figure before stays known."""

from collections.abc import Callable

import pytest

from haulm.errors import NotAccepted, NotFound
from haulm.forecast.learning import Figure
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.learn_figures import Standing, accept_figure, list_own_figures, refuse_figure, rounded
from support.desks import done
from support.farms import grower_folder

OpenDesk = Callable[[dict[str, bytes]], Desk]


@pytest.fixture
def taught(open_desk: OpenDesk) -> Desk:
    """Last year 100 plants of cosmos gave 1,500 stems and 400 were left, so more than the ten a plant of the list."""
    return open_desk(
        grower_folder(
            varieties="key,name,stems_per_plant\ncosmos,Cosmos,10",
            batches="""
                key,variety,sow_date,method,sown,plants,status
                c1,cosmos,2026-04-15,direct,200,100,finished
                """,
            records="""
                key,date,kind,batch,count,left
                r1,2026-08-01,cut,c1,1000,
                r2,2026-09-01,cut,c1,500,400
                r3,2026-09-10,finished,c1,,
                """,
        )
    )


def stems_of(desk: Desk) -> tuple[Standing, float, float, float]:
    """The figure of stems a plant: where it stands, before, in use and offered."""
    (one,) = (found for found in list_own_figures(desk) if found.own.figure is Figure.STEMS)
    return one.standing, one.learned.prior.value, one.in_use, one.offered


def test_a_figure_taken_over_is_the_farms_own_and_its_season_counts_once(taught: Desk) -> None:
    _, before, in_use, offered = stems_of(taught)
    assert (stems_of(taught)[0], before, in_use) == (Standing.OFFERED, 10, 10)

    done(taught, lambda work: accept_figure(taught, work, "cosmos", "stems_per_plant"))

    assert stems_of(taught) == (Standing.ACCEPTED, 10, offered, offered)
    (row,) = taught.store.farm().varieties
    assert (row.stems_per_plant, row.stems_through) == (offered, 2026)


def test_a_figure_refused_changes_nothing(taught: Desk) -> None:
    before = taught.store.farm().varieties
    done(taught, lambda work: refuse_figure(taught, work, "cosmos", "stems_per_plant"))

    assert stems_of(taught)[0] is Standing.REFUSED
    assert taught.store.farm().varieties == before


def test_only_what_a_season_speaks_of_can_be_taken_over(taught: Desk) -> None:
    with pytest.raises(NotAccepted, match="colour"):
        done(taught, lambda work: accept_figure(taught, work, "cosmos", "colour"))
    for variety, figure in (("cosmos", "germination_pct"), ("rose", "stems_per_plant")):
        with pytest.raises(NotFound):
            done(taught, lambda work, v=variety, f=figure: accept_figure(taught, work, v, f))  # type: ignore[misc]


def test_a_figure_is_written_as_finely_as_people_read_it() -> None:
    assert rounded(Figure.STEMS, 12.34) == 12.3
    assert rounded(Figure.GERMINATION, 61.6) == 62

"""The year in one picture, the kinds of a role, and one kind with a sowing tried on it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from importlib import resources

import pytest

from haulm.farm.words import Role
from haulm.planning.plan import Plan
from support.desks import desk_over, sqlite_store
from support.door import Door

MOST_BYTES = 200_000


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Door]:
    """The demo farm in March."""
    folder = resources.files("haulm.demo_farm").joinpath("folder")
    files = {one.name: one.read_bytes() for one in folder.iterdir() if one.is_file()}
    with (
        closing(sqlite_store(tmp_path_factory.mktemp("demo"))) as store,
        Door(desk_over(store, files, today=date(2027, 3, 15), seasons=200)) as door,
    ):
        yield door


def text_of(door: Door, path: str) -> str:
    answer = door.ask("GET", path)
    assert answer.status_code == 200, (path, answer.status_code)
    assert len(answer.content) < MOST_BYTES
    return answer.text


def plan_of(door: Door) -> Plan:
    return door.desk.plan()


def test_the_year_links_every_kind_and_every_role(demo: Door) -> None:
    text = text_of(demo, "/year")
    for kind in plan_of(demo).season_picture.kinds:
        assert f'href="/year/{kind.variety}"' in text
    for role in plan_of(demo).season_picture.roles:
        assert f'href="/year?role={role}"' in text
    assert "style=" not in text and "<script" not in text


def test_the_year_is_shown_by_colour_with_the_same_kinds(demo: Door) -> None:
    text, plan = text_of(demo, "/year?by=colour"), plan_of(demo)
    for kind in plan.season_picture.kinds:
        assert f'href="/year/{kind.variety}"' in text
    assert len(plan.colour_weeks) > 3 and 'href="/year?by=colour&amp;colour=white"' in text
    white = text_of(demo, "/year?by=colour&colour=white")
    for kind in plan.season_picture.kinds:
        assert (f'href="/year/{kind.variety}"' in white) is (plan.crops[kind.variety].colour == "white")


def test_winter_is_folded_and_unfolds(demo: Door) -> None:
    folded, unfolded = text_of(demo, "/year"), text_of(demo, "/year?winter=shown")
    assert "Folded: 15 Mar to " in folded and "winter=shown" in folded
    assert "Folded: " not in unfolded and "Fold the winter away" in unfolded


def test_a_role_shows_its_own_kinds_with_a_table_of_its_weeks(demo: Door) -> None:
    text = text_of(demo, "/year?role=spike")
    plan = plan_of(demo)
    for kind in plan.season_picture.kinds:
        assert (f'href="/year/{kind.variety}"' in text) is (plan.crops[kind.variety].role is Role.SPIKE)
    best = max(plan.season_picture.roles[Role.SPIKE], key=lambda one: one.free)
    row = re.search(rf">{best.week.monday.day} {best.week.monday:%b}</th>(.*?)</tr>", text)
    assert row is not None
    assert re.findall(r'number">(\d*)<', row[1]) == [
        str(best.sure),
        str(best.half),
        str(best.tenth),
        str(best.promised),
        "" if not best.short else str(round(best.short)),
        str(best.free),
    ]


def test_a_year_beyond_the_plan_is_refused_in_a_sentence(demo: Door) -> None:
    answer = demo.ask("GET", "/year?year=2040")
    assert answer.status_code == 422 and "2040" in answer.text and "from 2027 to 2028" in answer.text
    assert demo.ask("GET", "/year?role=weed").status_code == 422


def test_a_kind_links_its_gaps_and_its_sowings(demo: Door) -> None:
    plan = plan_of(demo)
    gap = next(gap for gap in plan.gaps(None) if "=" not in gap.asked)
    text = text_of(demo, f"/year/{gap.asked}")
    assert f'href="/short/{gap.key}"' in text
    for batch in plan.growth.seen.batches:
        if not batch.is_over:
            assert (f'href="/plan/{batch.key}"' in text) is (batch.variety == gap.asked)
    assert demo.ask("GET", "/year/nothing-of-ours").status_code == 404


def test_a_sowing_that_is_tried_changes_the_picture_and_writes_nothing(demo: Door) -> None:
    version = demo.desk.store.farm().version
    before = text_of(demo, "/year/lagurus")
    tried = text_of(demo, "/year/lagurus?first=2027-05-24&places=300&method=cover")
    assert "Supposed, nothing is written." in tried and "Supposed" not in before
    turf = re.compile(r'class="turf" d="(M[^"]{60,})"')
    assert turf.search(before) and turf.search(tried) and turf.findall(before)[0] != turf.findall(tried)[0]
    assert demo.desk.store.farm().version == version
    assert text_of(demo, "/year/lagurus") == before
    assert 'href="/rhythm?variety=lagurus&amp;every=1&amp;first=2027-05-24' in tried


def test_what_cannot_be_sown_stands_beside_its_field_with_what_was_typed(demo: Door) -> None:
    text = text_of(demo, "/year/lagurus?first=soon&places=none&method=cover")
    assert 'id="wrong-first"' in text and 'id="wrong-places"' in text
    assert 'value="soon"' in text and "Supposed" not in text


def test_a_farm_that_grows_nothing_yet_says_so(known: Door) -> None:
    assert known.ask("GET", "/year").status_code == 200

"""GET /v1/match on random farms of known stems, line by line and product by product, against another's count.

Judge: SciPy's maximum flow (Dinic) under a second reading of the rules (support.match_judge).
"""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from support import scale
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.match_judge import flow_judge, judged
from support.random_known_farms import TODAY, TwiceTold, random_known_farm

FARMS = scale.count(usual=20, large=500)
Given = dict[tuple[str, str, bool], dict[str, int]]


def by_judge(told: TwiceTold) -> Given:
    """Stems of each product, by line, due date and whether it is the spare."""
    found: Given = {name: {} for name in told.names.values()}
    for (line, product, _), stems in judged(told.farm, 0, flow_judge).items():
        given = found[told.names[line]]
        given[product] = given.get(product, 0) + stems
    return found


def by_service(lines: list[dict[str, Any]]) -> Given:
    """The same from the service's answer, spare only where there is one."""
    found: Given = {}
    for line in lines:
        name = (line["line"], line["due"])
        assert line["filled"] == sum(source["stems"] for source in line["from"])
        found[*name, False] = counted(line["from"])
        if line["spare"]:
            found[*name, True] = counted(line["spare_from"])
    return found


def counted(sources: list[dict[str, Any]]) -> dict[str, int]:
    """Stems by product."""
    stems: Counter[str] = Counter()
    for source in sources:
        stems[source["product"]] += source["stems"]
    return dict(stems)


@pytest.mark.parametrize("number", range(FARMS))
def test_every_line_gets_of_every_product_what_the_judge_gives_it(number: int, tmp_path: Path) -> None:
    told = random_known_farm(random.Random(number))
    store = sqlite_store(tmp_path)
    with Door(desk_over(store, told.folder, today=TODAY)) as door:
        answer = door.get("/v1/match", season="expected")
    store.close()

    assert by_service(answer["lines"]) == by_judge(told)


def test_the_random_farms_have_something_to_decide() -> None:
    farms = [random_known_farm(random.Random(number)) for number in range(FARMS)]
    given = [sum(stems.values()) for told in farms for stems in by_judge(told).values()]
    asked = [line for told in farms for line in told.lines]

    assert sum(stems > 0 for stems in given) > FARMS
    assert any(line.choice for line in asked) and any(line.is_spare for line in asked)
    assert any(line.substitutes for line in asked) and any(line.minimum for line in asked)

"""The page that refuses a wedding the stems of a florist, with her spare and without."""

from typing import Any

import pytest

from support.florist_farm import CASES, SUNDAY, florist_farm
from support.tapping import tapped


@pytest.mark.parametrize(("stems", "spare"), CASES)
def test_the_page_says_whose_stems_they_are_and_how_many_are_free(open_door: Any, stems: int, spare: int) -> None:
    door, free = open_door(florist_farm(stems, spare)), stems - 20
    asked = {"date": SUNDAY, "customer": "bram"}
    large, small = (
        door.post("/v1/quotes", {**asked, "lines": [{"product": "lagurus", "stems": count}]})["id"]
        for count in (20, free or 1)
    )

    refused = tapped(door, f"/quotes/{large}", "contract")
    assert refused.status_code == 409
    whose = "Studio Anna Verhoeven&#39;s 20 Bunny tail for Fri 18 Jun 2027 from 100 % to 0 %, below the 90 % it keeps"
    assert whose in refused.text
    assert (f"{free} could be promised" if free else "Not one stem could be promised") in refused.text

    assert tapped(door, f"/quotes/{small}", "contract").status_code == (303 if free else 409)

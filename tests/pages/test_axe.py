"""No page has a fault that axe can see, on a phone and on a desk, by day and by night.

Checked against: axe-core, a reference checker of the accessibility rules WCAG 2.2 (levels A and AA) and good practice.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import cycle
from pathlib import Path
from typing import Literal

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, sync_playwright

from haulm.jobs.gaps.follow_gaps import work_out_gaps
from haulm.serving import application
from haulm.settings import Settings
from support import scale
from support.desks import desk_over, sqlite_store
from support.every_page import BROWSER, EVERY_PAGE, QUIET
from support.known_farm import growing_farm
from support.left_out import leave_out
from support.live_service import live_service

pytestmark = pytest.mark.browser

VIEWS: tuple[tuple[int, Literal["light", "dark"]], ...] = (
    (390, "light"),
    (1280, "dark"),
    (390, "dark"),
    (1280, "light"),
)
SEEN = (
    tuple((path, view) for path in EVERY_PAGE for view in VIEWS)
    if scale.is_large()
    else tuple(zip(EVERY_PAGE, cycle(VIEWS), strict=False))[::7]
)
"""The usual run looks at every seventh page, each in one of the four views; the long run at all pages in all views."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Chromium of the system."""
    if not BROWSER.exists():
        leave_out(f"Chromium is not installed as {BROWSER}: on Debian, apt install chromium")
    with sync_playwright() as tools:
        found = tools.chromium.launch(executable_path=str(BROWSER), args=list(QUIET))
        yield found
        found.close()


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The farm that grows too little, served."""
    folder: Path = tmp_path_factory.mktemp("farm")
    store = sqlite_store(folder)
    desk = desk_over(store, growing_farm())
    assert work_out_gaps(desk)
    with live_service(application(desk, Settings(database_url="", data_dir=folder))) as address:
        yield address
    store.close()


@pytest.mark.parametrize(
    ("path", "view"), SEEN, ids=lambda part: part if isinstance(part, str) else "-".join(map(str, part))
)
def test_axe_finds_nothing(browser: Browser, site: str, path: str, view: tuple[int, Literal["light", "dark"]]) -> None:
    assert faults_of(browser, f"{site}{path}", view) == []


@pytest.mark.parametrize("view", VIEWS if scale.is_large() else VIEWS[1:3])
@pytest.mark.parametrize("door", ["/f/", "/your-day/"])
def test_axe_finds_nothing_on_what_a_florist_and_a_couple_open(
    browser: Browser, site: str, door: str, view: tuple[int, Literal["light", "dark"]]
) -> None:
    asked = {"date": "2027-09-20", "lines": [{"product": "lagurus", "stems": 60}]}
    assert httpx.post(f"{site}/v1/quotes", json=asked, timeout=60).status_code == 201
    opened = re.search(rf'href="({door}[^"]+)"', httpx.get(f"{site}/links").text)
    assert opened is not None, "the page of links has one"
    assert faults_of(browser, f"{site}{opened[1]}", view) == []


def faults_of(browser: Browser, address: str, view: tuple[int, Literal["light", "dark"]]) -> list[tuple[str, str, int]]:
    """What axe finds at an address: the rule, the first place, how many places."""
    width, scheme = view
    page = browser.new_context(viewport={"width": width, "height": 844}, color_scheme=scheme).new_page()
    page.goto(address)
    found = Axe().run(page)
    page.context.close()
    return [(one["id"], one["nodes"][0]["html"][:150], len(one["nodes"])) for one in found.response["violations"]]

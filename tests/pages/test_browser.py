"""The pages in a real browser: with the keyboard alone, on a narrow phone, in words that can be read."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from datetime import date
from importlib import resources
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from haulm.jobs.florist_links import link_number
from haulm.web.links import Holder, Links
from support.desks import desk_over, on, sqlite_store
from support.door import SECRET, Door
from support.known_farm import PARTY, growing_farm, known_farm
from support.live_service import live_service

pytestmark = pytest.mark.browser

CHROMIUM = Path("/usr/bin/chromium")
ALONE = (
    "--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync"
).split()
PAGES = (
    *("/", "/short", "/free", "/plan", "/walk", "/cut", "/bucket/2027-06-14", "/quotes", "/quotes/new", "/orders"),
    *("/orders/party/2027-06-18", "/replies", "/honesty", "/more", "/store", "/claims", "/season", "/links", "/mails"),
)
NARROW, DESK = 360, 1280
PAIRS = (
    *(("ink", "paper"), ("ink", "sheet"), ("ink", "fill"), ("ink", "mark"), ("soft", "paper"), ("soft", "sheet")),
    *(
        ("leaf", "paper"),
        ("leaf", "sheet"),
        ("leaf-ink", "leaf"),
        ("warn", "sheet"),
        ("bad", "sheet"),
        ("bad", "paper"),
    ),
)
"""Text on ground, as the style sheet puts them together."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A browser without a window; where there is none the test is skipped, in CI it fails."""
    if not CHROMIUM.exists():
        missing = "Chromium is missing: on Debian, `apt install chromium`."
        if "CI" in os.environ:
            pytest.fail(missing, pytrace=False)
        pytest.skip(missing)
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=str(CHROMIUM), args=ALONE)
        yield opened
        opened.close()


@pytest.fixture
def known(tmp_path: Path) -> Iterator[Door]:
    """The door to the farm of known stems with Bram's orders."""
    yield from opened(tmp_path, known_farm(**PARTY))


@pytest.fixture
def growing(tmp_path: Path) -> Iterator[Door]:
    """The door to the farm that grows too little."""
    yield from opened(tmp_path, growing_farm())


def opened(folder: Path, files: dict[str, bytes]) -> Iterator[Door]:
    """A door over a store of the test's own."""
    store = sqlite_store(folder)
    with Door(desk_over(store, files)) as door:
        yield door
    store.close()


def tab_to(page: Page, text: str) -> None:
    """Press Tab until something with this text has the focus."""
    for _ in range(120):
        page.keyboard.press("Tab")
        focused = page.evaluate("(document.activeElement.innerText || document.activeElement.name || '')")
        if text in focused:
            return
    raise AssertionError(f"no way to {text!r} by the keyboard on {page.url}")


def test_from_today_to_a_gap_into_the_plan_with_the_keyboard_alone(growing: Door, browser: Browser) -> None:
    before = len(growing.desk.store.farm().batches)
    with live_service(growing.app) as address:
        page = browser.new_page()
        page.goto(f"{address}/")
        tab_to(page, "Hare's-tail")
        page.keyboard.press("Enter")
        page.wait_for_url("**/short/*")
        tab_to(page, "into the plan")
        page.keyboard.press("Enter")
        page.wait_for_url("**said=added")
        assert "The batch is in the plan." in page.inner_text("[role=status]")
        page.close()

    assert len(growing.desk.store.farm().batches) > before


def test_a_florist_answers_with_the_keyboard_alone(known: Door, browser: Browser) -> None:
    on(known.desk, date(2027, 6, 10))
    path = Links(SECRET, known.desk.now).florist_path(Holder("anna", link_number(known.desk, "anna")))
    with live_service(known.app) as address:
        page = browser.new_page(viewport={"width": NARROW, "height": 740})
        page.goto(f"{address}{path}")
        assert page.evaluate("document.documentElement.scrollWidth") <= NARROW
        tab_to(page, "more-nigella")
        page.keyboard.type("2")
        # The return key in a field sends what was typed, and never a plain yes.
        page.keyboard.press("Enter")
        page.wait_for_url("**said=told")
        assert "2 bunches more of Love-in-a-mist" in page.inner_text("main")
        page.close()


def test_no_page_is_wider_than_a_narrow_phone_or_complains(known: Door, browser: Browser) -> None:
    complaints: list[str] = []
    wide: list[str] = []
    with live_service(known.app) as address:
        page = browser.new_page(viewport={"width": NARROW, "height": 740})
        page.on("console", lambda said: complaints.append(f"{page.url}: {said.text}") if said.type == "error" else None)
        page.on("pageerror", lambda fault: complaints.append(f"{page.url}: {fault}"))
        for path in PAGES:
            answer = page.goto(f"{address}{path}")
            assert answer is not None and answer.status == 200, path
            if page.evaluate("document.documentElement.scrollWidth") > NARROW:
                wide.append(path)
        page.close()

    assert (wide, complaints) == ([], [])


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_stand_out_from_their_ground(scheme: str) -> None:
    colours = stylesheet_colours()[scheme]
    weak = {pair: contrast(colours[pair[0]], colours[pair[1]]) for pair in PAIRS}

    assert {pair: ratio for pair, ratio in weak.items() if ratio < 4.5} == {}


def stylesheet_colours() -> dict[str, dict[str, str]]:
    """The colours of the style sheet by name: the light ones come first, then the dark ones."""
    text = resources.files("haulm.pages").joinpath("static/haulm.css").read_text("utf-8")
    light, dark = re.findall(r":root \{(.*?)\}", text, flags=re.DOTALL)
    found = {"light": light, "dark": dark}
    return {scheme: dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", block)) for scheme, block in found.items()}


def contrast(one: str, other: str) -> float:
    """The contrast of two colours, 1 to 21; Web Content Accessibility Guidelines 2.1, section 1.4.3."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def luminance(colour: str) -> float:
    """The relative luminance of a colour such as `#1c241c`, by the same guidelines."""
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))

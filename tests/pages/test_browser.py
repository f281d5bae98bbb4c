"""The pages in a real browser: by keyboard alone, on a narrow screen, in the dark, and quietly."""

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import httpx
import pytest
from fastapi.routing import APIRoute
from playwright.sync_api import Browser, Page, sync_playwright

from haulm.jobs.florists.florist_links import link_number
from haulm.jobs.gaps.follow_gaps import work_out_gaps
from haulm.pages.site import PAGE_ROUTERS
from haulm.serving import application
from haulm.settings import Settings
from haulm.web.links import Holder, Links
from support import scale
from support.desks import desk_over, on, sqlite_store
from support.door import SECRET
from support.every_page import BROWSER, EVERY_PAGE, GAP, QUIET
from support.known_farm import KNOWN_STEMS, PARTY, growing_farm, known_farm
from support.left_out import leave_out
from support.live_service import live_service

pytestmark = pytest.mark.browser

WALKED = EVERY_PAGE[:: scale.count(usual=8, large=1)]
"""A browser takes a second a page: the usual run opens every eighth, the long run all."""
TARGETS = ":is(nav a, button, .button, select, input:not([type=hidden], [type=checkbox])):visible"
LEAST_CONTRAST = 4.5
"""WCAG 2.2, success criterion 1.4.3 (AA), for text of the usual size."""
WIDER_THAN_THE_SCREEN = """() => [...document.querySelectorAll('body *')]
    .filter(one => !one.closest('.scroll, .skip, .out-of-sight, table.stacks thead'))
    .filter(one => one.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
    .map(one => one.outerHTML.slice(0, 120))"""
TEXT_AND_GROUND = """() => {
    const ground = one => {
        for (let at = one; at; at = at.parentElement) {
            const found = getComputedStyle(at).backgroundColor;
            if (!/, 0\\)$/.test(found) && found !== 'transparent') return found;
        }
        return 'rgb(255, 255, 255)';
    };
    return [...document.querySelectorAll('body *:not(title)')]
        .filter(one => [...one.childNodes].some(node => node.nodeType === 3 && node.textContent.trim()))
        .map(one => one instanceof SVGElement
            ? [getComputedStyle(one).fill, ground(one), one.outerHTML.slice(0, 120)]
            : [getComputedStyle(one).color, ground(one), one.outerHTML.slice(0, 120)]);
}"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Chromium of the system; where there is none its tests are left out, in CI they fail."""
    if not BROWSER.exists():
        leave_out(f"Chromium is not installed as {BROWSER}: on Debian, apt install chromium")
    with sync_playwright() as tools:
        found = tools.chromium.launch(executable_path=str(BROWSER), args=list(QUIET))
        yield found
        found.close()


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The farm that grows too little, served."""
    folder = tmp_path_factory.mktemp("farm")
    store = sqlite_store(folder)
    desk = desk_over(store, growing_farm())
    assert work_out_gaps(desk)
    with live_service(application(desk, Settings(database_url="", data_dir=folder))) as address:
        yield address
    store.close()


@pytest.fixture
def bucket_day(tmp_path: Path) -> Iterator[str]:
    """A bucket day on which a line is short, with a caution and a stand-in that its florist accepts."""
    few = KNOWN_STEMS.replace("k1,lagurus,2027-06-14,60,", "k1,lagurus,2027-06-14,10,2027-06-14")
    lines = "key,order,stems,product,substitutes\nanna-1,anna-weekly,45,lagurus,nigella"
    store = sqlite_store(tmp_path)
    desk = desk_over(store, known_farm(standing_lines=lines, known_stems=few, **PARTY))
    with live_service(application(desk, Settings(database_url="", data_dir=tmp_path))) as address:
        yield f"{address}/bucket/2027-06-14"
    store.close()


@pytest.fixture
def own_site(tmp_path: Path) -> Iterator[str]:
    """The same farm for one test alone, which changes it."""
    store = sqlite_store(tmp_path)
    desk = desk_over(store, growing_farm())
    assert work_out_gaps(desk)
    with live_service(application(desk, Settings(database_url="", data_dir=tmp_path))) as address:
        yield address
    store.close()


def opened(browser: Browser, **how: Any) -> tuple[Page, list[str]]:
    """A new page, and what its console says."""
    page = browser.new_context(**how).new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(f"{page.url}: {message.text}"))
    page.on("pageerror", lambda error: said.append(f"{page.url}: {error}"))
    return page, said


def tab_to(page: Page, words: str) -> None:
    """Press Tab until the focus is on something that begins with these words, and see that the focus shows."""
    for _ in range(60):
        page.keyboard.press("Tab")
        focused = page.locator(":focus")
        if focused.count() and (focused.text_content() or "").strip().startswith(words):
            assert focused.evaluate("one => getComputedStyle(one).outlineStyle") == "solid", words
            return
    raise AssertionError(f"no Tab leads to '{words}' on {page.url}")


def contrast(one: str, other: str) -> float:
    """Contrast of two colours as WCAG 2.2 defines it, from relative luminances; 1 to 21."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(part) / 255 for part in re.findall(r"\d+", colour)[:3]]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_the_contrast_of_known_pairs_is_as_published() -> None:
    """Black on white is 21 to 1, and #767676 is the lightest grey that reaches 4.5 on white (WCAG's own example)."""
    assert contrast("rgb(0, 0, 0)", "rgb(255, 255, 255)") == pytest.approx(21)
    assert contrast("rgb(118, 118, 118)", "rgb(255, 255, 255)") == pytest.approx(4.54, abs=0.005)
    assert contrast("rgb(119, 119, 119)", "rgb(255, 255, 255)") < LEAST_CONTRAST


def test_a_gap_is_closed_by_keyboard_alone_and_without_scripts(browser: Browser, own_site: str) -> None:
    page, said = opened(browser, java_script_enabled=False)
    page.goto(f"{own_site}/")
    page.keyboard.press("Tab")
    assert page.locator(":focus").get_attribute("href") == "#main"

    tab_to(page, "Season")
    page.keyboard.press("Enter")
    page.wait_for_url("**/year")
    tab_to(page, "Gaps")
    page.keyboard.press("Enter")
    page.wait_for_url("**/short")
    tab_to(page, "Hare's-tail grass")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**{GAP}")
    tab_to(page, "Put th")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**{GAP}?said=added")

    assert page.get_by_role("status").inner_text() == "The batch is in the plan."
    assert page.get_by_role("heading", level=1).inner_text() == "This is not short any more"
    assert said == []


@pytest.mark.parametrize("path", WALKED)
def test_a_page_fits_a_narrow_screen_and_says_nothing_on_the_console(browser: Browser, site: str, path: str) -> None:
    page, said = opened(browser, viewport={"width": 360, "height": 740})
    answer = page.goto(f"{site}{path}")

    assert answer is not None and answer.status == 200
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert page.evaluate(WIDER_THAN_THE_SCREEN) == []
    assert said == []
    page.context.close()


def test_a_bucket_list_is_read_decided_and_settled_on_a_phone_by_keyboard(browser: Browser, bucket_day: str) -> None:
    page, said = opened(browser, viewport={"width": 360, "height": 740}, java_script_enabled=False)
    page.goto(bucket_day)
    assert page.locator(".tag.short").count() and page.locator(".take-care li").count()
    page.locator("select").focus()
    page.keyboard.type("only Love")
    page.get_by_label("No cut is made for it").first.focus()
    page.keyboard.press("Space")
    tab_to(page, "Show it with my changes")
    page.keyboard.press("Enter")
    page.wait_for_url("**/bucket/2027-06-14?**")
    assert "30 Love-in-a-mist instead, which they accept" in page.locator("main").inner_text()
    # Enter in a number shows the list once more, and settles nothing.
    page.locator("input.count").first.focus()
    page.keyboard.type("28")
    page.keyboard.press("Enter")
    page.wait_for_url("**stems-**28**")
    assert page.locator("input.count").first.input_value() == "28"
    tab_to(page, "Settle this delivery")
    page.keyboard.press("Enter")
    page.wait_for_url("**/bucket/2027-06-14?said=settled")

    assert page.get_by_role("status").inner_text() == "Settled: it is packed until the van leaves."
    assert "28 of 45 stems" in page.locator("main").inner_text()
    assert said == []


def test_of_two_browsers_the_second_sees_what_was_written_down_in_between(browser: Browser, bucket_day: str) -> None:
    address = f"{bucket_day}?no-cut-anna-weekly%402027-06-15=yes"
    (first, _), (second, _) = opened(browser), opened(browser)
    for page in (first, second):
        page.goto(address)
    first.goto(bucket_day.replace("/bucket/2027-06-14", "/store"))
    first.get_by_label("Stems", exact=True).nth(1).fill("7")
    first.get_by_label("To").nth(1).select_option("waste")
    first.get_by_role("button", name="Move").nth(1).click()
    second.get_by_role("button", name="Settle this delivery").click()

    shown = second.locator("[role=alert]").inner_text()
    assert "It is not as you saw it" in shown and "40" in shown and "33" in shown
    second.get_by_role("button", name="Settle this delivery").click()
    second.wait_for_url("**said=settled")
    assert "33 of 45 stems" in second.locator("main").inner_text()


def test_of_two_browsers_on_a_quote_the_second_sees_the_difference_and_keeps_what_was_typed(
    browser: Browser, own_site: str
) -> None:
    asked = {"date": "2027-09-11", "pieces": [{"piece": "table jar", "count": 2}], "palette": "cream"}
    quote = httpx.post(f"{own_site}/v1/quotes", json=asked).raise_for_status().json()["id"]
    page = f"{own_site}/quotes/{quote}"
    (first, _), (second, said) = (opened(browser, viewport={"width": 360, "height": 740}) for _ in range(2))
    for one in (first, second):
        one.goto(page)
    # Enter in a number or a day carries nothing out, and what keeps it from that does not show.
    assert not any(button.is_visible() for button in first.locator("button[disabled]").all())
    for label, typed in (("Deposit paid", "5"), ("Table jar", "3")):
        first.get_by_label(label).fill(typed)
        first.keyboard.press("Enter")
    assert first.url == page and "What happened" in first.inner_text("main")
    first.get_by_role("button", name="Write final numbers").click()
    first.wait_for_url("**said=changed")
    second.get_by_label("Deposit paid").fill("7000")
    second.get_by_role("button", name="Contract it").click()

    shown = second.locator("[role=alert]").first.inner_text()
    assert "It is not as you saw it" in shown
    assert [
        cell.inner_text() for cell in second.locator("[role=alert] tr", has_text="Table jar").locator("td").all()
    ] == [
        "2",
        "3",
    ]
    assert second.get_by_label("Deposit paid").input_value() == "7000"
    assert second.evaluate(WIDER_THAN_THE_SCREEN) == []
    # A wedding ends by two taps, never by one.
    assert second.get_by_role("button", name="Yes, they cancelled").count() == 0
    second.get_by_role("link", name="They cancelled").click()
    second.get_by_role("button", name="Yes, they cancelled").click()
    second.wait_for_url("**said=released")
    assert "Cancelled." in second.inner_text("main") and "Contracted" not in second.inner_text("main")
    assert [line for line in said if "412" not in line] == []


def test_a_full_bucket_list_fits_a_narrow_screen(browser: Browser, bucket_day: str) -> None:
    page, _ = opened(browser, viewport={"width": 360, "height": 740})
    page.goto(bucket_day)

    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert page.evaluate(WIDER_THAN_THE_SCREEN) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_text_stands_out_from_its_ground(browser: Browser, site: str, scheme: Any) -> None:
    page, _ = opened(browser, color_scheme=scheme)
    seen, pale = 0, set[str]()
    for path in WALKED:
        page.goto(f"{site}{path}")
        for text, ground, what in page.evaluate(TEXT_AND_GROUND):
            seen += 1
            if contrast(text, ground) < LEAST_CONTRAST:
                pale.add(f"{path} {text} on {ground}: {what}")

    assert seen > 150
    assert sorted(pale) == []


def test_the_page_is_dark_where_dark_is_wished(browser: Browser, site: str) -> None:
    grounds = {}
    for scheme in ("light", "dark"):
        page, _ = opened(browser, color_scheme=scheme)
        page.goto(f"{site}/")
        grounds[scheme] = _luminance(page.evaluate("getComputedStyle(document.body).backgroundColor"))

    assert grounds["dark"] < 0.05 < 0.8 < grounds["light"]


@pytest.mark.parametrize("path", ("/", GAP, "/plan/first", "/what-if", "/free", "/walk", "/cut")[:: scale.count(3, 1)])
def test_what_a_thumb_hits_is_tall_enough(browser: Browser, site: str, path: str) -> None:
    page, _ = opened(browser, viewport={"width": 390, "height": 844})
    page.goto(f"{site}{path}")
    for target in page.locator(TARGETS).all():
        box = target.bounding_box()
        assert box is not None and box["height"] >= 44, target.evaluate("one => one.outerHTML")


def test_a_florist_answers_with_the_keyboard_alone(browser: Browser, tmp_path: Path) -> None:
    store = sqlite_store(tmp_path)
    desk = desk_over(store, known_farm(**PARTY))
    on(desk, date(2027, 6, 10))
    path = Links(SECRET, desk.now).florist_path(Holder("anna", link_number(desk, "anna")))
    with live_service(application(desk, Settings(database_url="", data_dir=tmp_path, secret=SECRET))) as address:
        page, said = opened(browser, viewport={"width": 360, "height": 740})
        page.goto(f"{address}{path}")
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        for _ in range(30):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.name") == "more-nigella":
                break
        page.keyboard.type("2")
        # The return key in a field sends what was typed, and never a plain yes.
        page.keyboard.press("Enter")
        page.wait_for_url("**said=told")
        assert "2 bunches more of Love-in-a-mist" in page.inner_text("main")
        assert said == []
    store.close()


def test_every_page_without_a_key_in_its_path_is_looked_at() -> None:
    looked_at = {path.partition("?")[0] for path in EVERY_PAGE}
    routes = [route for router in PAGE_ROUTERS for route in router.routes if isinstance(route, APIRoute)]
    pages = {route.path for route in routes if "GET" in (route.methods or ()) and "{" not in route.path}

    assert pages - looked_at == {"/static/haulm.css"}

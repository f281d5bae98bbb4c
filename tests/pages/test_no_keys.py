"""No page says a key, an ISO date or a raw word to whoever reads it: names, days and weeks stand in words."""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import date
from importlib import resources

import pytest
from fastapi.routing import APIRoute

from haulm.jobs.bucket_day.after_the_list import claims
from haulm.jobs.desk.names import Names
from haulm.jobs.gaps.follow_gaps import work_out_gaps
from haulm.pages.site import PAGE_ROUTERS
from support import scale
from support.bucket_days import BucketDay, bucket_farm
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.slips import SLIPS

PATHS = sorted(
    route.path
    for router in PAGE_ROUTERS
    for route in router.routes
    if isinstance(route, APIRoute) and "GET" in route.methods and "{" not in route.path and "static" not in route.path
)
KEYED = ("batches", "orders", "standing_orders", "standing_lines", "order_lines", "customers", "beds", "varieties")
ISO = re.compile(r"\b\d{4}-(?:\d\d-\d\d|W\d\d)\b")
RAW = re.compile(r"\b[a-z]+_[a-z_]+\b")
NOT_READ = re.compile(r"<(head|script|style|code)\b.*?</\1>", re.DOTALL)
SAID_TOO = re.compile(r'(?:aria-label|title|placeholder|alt)="([^"]*)"')


@pytest.fixture(scope="module", params=["2027-03-15", "2027-07-12"][: scale.count(usual=1, large=2)])
def demo(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Door]:
    """The demo farm in March, in the long run in July too, with few seasons: words are looked at, not figures."""
    folder = resources.files("haulm.demo_farm").joinpath("folder")
    files = {one.name: one.read_bytes() for one in folder.iterdir() if one.is_file()}
    today = date.fromisoformat(request.param)
    with closing(sqlite_store(tmp_path_factory.mktemp("demo"))) as store:
        desk = desk_over(store, files, today=today, seasons=20)
        work_out_gaps(desk)
        with Door(desk) as door:
            yield door


def read(page: str) -> str:
    """What a page says: its text, and what a reader's program says of its parts."""
    shown = NOT_READ.sub(" ", page)
    return html.unescape(re.sub(r"<[^>]+>", " ", shown) + " ".join(SAID_TOO.findall(shown)))


def keys_in(door: Door, text: str) -> list[str]:
    farm = door.desk.store.farm()
    keys = {row.key for collection in KEYED for row in getattr(farm, collection)}
    # A key of one plain word, such as `zinnia`, may be a word of the page.
    plain = {key for key in keys if re.search(r"[-_\d]", key)}
    return sorted(plain & set(re.findall(r"[\w-]+", text)))


def test_a_key_and_a_date_of_a_machine_are_found(demo: Door) -> None:
    text = read('<p title="wedding-august">due <b>2027-08-13</b>, on_hold</p>')
    assert keys_in(demo, text) == ["wedding-august"]
    assert ISO.findall(text) == ["2027-08-13"] and RAW.findall(text) == ["on_hold"]


@pytest.mark.parametrize("path", ["/short", "/quotes", "/plan", "/orders?show=all", "/farm", "/farm/customers"])
def test_what_a_list_leads_to_speaks_in_words(demo: Door, path: str) -> None:
    """The first three of every list, and what stands beside them."""
    own = path.partition("?")[0]
    listed = re.findall(rf'href="({own}/[^"?#]+)"', demo.ask("GET", path).text)
    assert listed
    for one in dict.fromkeys(listed[:3]):
        text = read(demo.ask("GET", html.unescape(one), follow_redirects=True).text)
        assert (one, keys_in(demo, text), ISO.findall(text), RAW.findall(text)) == (one, [], [], [])


@pytest.mark.parametrize("path", PATHS)
def test_a_page_speaks_in_words(demo: Door, path: str) -> None:
    text = read(demo.ask("GET", path, follow_redirects=True).text)
    assert (keys_in(demo, text), ISO.findall(text), RAW.findall(text)) == ([], [], [])


def test_a_claim_names_its_line_and_the_sowings_it_leads_back_to(
    open_door: Callable[[dict[str, bytes]], Door],
) -> None:
    door = open_door(bucket_farm())
    day = BucketDay(door.desk)
    day.walk(lagurus=120)
    day.cut(60)
    SLIPS["a claim"](day)
    (claim,) = claims(day.desk)
    assert claim.batches
    text, names = read(door.ask("GET", "/claims").text), Names(day.desk.store.farm())
    assert (keys_in(door, text), ISO.findall(text), RAW.findall(text)) == ([], [], [])
    assert names.line(claim.line) in text and all(names.batch(key) in text for key in claim.batches)

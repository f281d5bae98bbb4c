"""Whatever is typed into a form of the farm, the answer is a page: refused beside its field, or written."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from haulm.pages.rows.page_words import Table
from haulm.pages.rows.tables import TABLES
from support.door import Door
from support.known_farm import PARTY, known_farm
from support.typed_forms import form_at

ANYTHING = (
    "",
    "x",
    "-1",
    "9" * 400,
    "1e9999",
    "NaN",
    "0,0,0",
    "2027-13-45",
    "9999-W99",
    "role=focal role=focal",
    "a|b|:|-",
    "<b>&quot;'\\",
    "\u0000\u2028\U0001f33c",
    "Bunny tail, dried\r\nBunny tail\r\n",
    "{name} %s %(x)s",
)
GOOD = (200, 303, 404, 409, 412, 422)
QUERY = {"standing_lines": "?order=anna-weekly", "changes": "?order=anna-weekly", "order_lines": "?order=party"}


@pytest.fixture
def door(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    """A farm of known stems with a contracted order."""
    return open_door(
        known_farm(
            **PARTY,
            beds="key,name\npond,Pond bed",
            batches="key,variety,sow_date,plants\nfirst,lagurus,2027-03-01,40",
            records="key,date,kind,batch,count\nr1,2027-06-10,standing,first,30",
            recipes="piece,role,stems\nbuttonhole,accent,2",
            prices="product,price_minor\nlagurus,420",
            temperatures="date,min_c,max_c\n2027-05-01,4,12",
            sprays="key,bed,date,wait_until\ns1,pond,2027-06-01,2027-06-03",
            changes="key,order,week,stems\nc1,anna-weekly,2027-W25,20",
        )
    )


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.place)
def test_a_new_row_of_anything_is_a_page(door: Door, table: Table) -> None:
    form = form_at(door, f"{table.path}/new{QUERY.get(table.collection, '')}", action=f"{table.path}/new")
    for number, text in enumerate(ANYTHING):
        fields = {name: text for name in form.names if name not in ("once", "order")}
        fields |= {"once": f"once-{number}", "order": form.fields.get("order", text)}
        assert door.ask("POST", form.action, data=fields).status_code in GOOD, text


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.place)
def test_a_row_changed_into_anything_is_a_page(door: Door, table: Table) -> None:
    listed = door.ask("GET", table.path).text
    path = listed.partition('<ul class="rows">')[2].partition('<a href="')[2].partition('"')[0]
    form = form_at(door, path)
    for number, text in enumerate(ANYTHING):
        typed = [name for name in form.names if not name.startswith("seen-") and name not in ("once", "tag", "order")]
        fields = {**form.fields, **dict.fromkeys(typed, text), "once": f"once-{number}"}
        assert door.ask("POST", form.action, data=fields).status_code in GOOD, text
        assert door.ask("GET", path).status_code in (200, 404)


@pytest.mark.parametrize(
    "query", ["part=-1", "part=99999999999", "part=x", "only=zzz", "q=%00", f"q={'x' * 5000}", "part="]
)
def test_a_list_asked_for_anyhow_is_a_page(door: Door, query: str) -> None:
    assert door.ask("GET", f"/farm/kinds?{query}").status_code in (200, 422)
    assert door.ask("GET", f"/farm/library?{query}").status_code in (200, 422)


def test_settings_of_anything_are_a_page(door: Door) -> None:
    form = form_at(door, "/farm/settings")
    for number, text in enumerate(ANYTHING):
        typed = [name for name in form.names if not name.startswith("seen-") and name not in ("once", "tag")]
        fields = {**form.fields, **dict.fromkeys(typed, text), "once": f"once-{number}"}
        assert door.ask("POST", form.action, data=fields).status_code in GOOD, text

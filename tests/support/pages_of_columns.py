"""Write docs/engineer/pages-of-columns.md again: every column of the folder with the page whose form changes it.

python tests/support/pages_of_columns.py

Which page that is is read from the forms themselves, as the application sends them for a small farm.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from haulm.farm_folder.columns import FILE_BY_NAME, FILES
from haulm.pages.rows.page_words import Table
from haulm.pages.rows.setting_values import setting_paths
from haulm.pages.rows.tables import BY_COLLECTION, ELSEWHERE
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.known_farm import PARTY, known_farm
from support.project_tree import ROOT
from support.typed_forms import forms_of

PAGE = ROOT / "docs/engineer/pages-of-columns.md"
MADE = "made by the service"
_SETTINGS = "/farm/settings"
_UNDER_ANOTHER_NAME: Mapping[tuple[str, str], str] = {
    ("past_years", "variety"): "grown",
    ("past_years", "kind"): "grown",
    ("usual_sales", "product"): "grown",
    ("usual_sales", "choice"): "role",
    ("usual_sales", "stem_price_minor"): "price",
    ("piece_decisions", "decision"): "decision",
    ("at_home", "state"): "state",
}
"""Fields of forms that have another name than the column they fill."""
_MADE_ELSEWHERE = frozenset(
    (("past_years", "key"), ("past_years", "really"), ("usual_sales", "key"), ("at_home", "date"))
)
"""Columns of forms of their own that the service writes: a key, that it was said again, and the day of a tick."""
_HEAD = """# Pages of columns

Every column of the farm folder and every setting of `farm.toml`, with the page whose form changes it. Printed by
`python tests/support/pages_of_columns.py` from the forms as they are sent; a test of the house fails for a column
without one.

| column | page |
| --- | --- |
"""


def pages_of_columns(door: Door) -> dict[str, str]:
    """The page that changes each column and setting, by `file.csv: column` or `farm.toml: setting`; empty: none."""
    found: dict[str, str] = {}
    for spec in FILES:
        pages = dict(_pages(door, spec.collection))
        found |= {f"{spec.name}: {column}": pages.get(column, "") for column in spec.header}
    fields = _names(door, _SETTINGS)
    return found | {f"farm.toml: {path}": _SETTINGS if _has(fields, path) else "" for path in setting_paths()}


def _pages(door: Door, collection: str) -> Iterator[tuple[str, str]]:
    if collection in ELSEWHERE:
        yield from _pages_elsewhere(door, collection)
        return
    table = BY_COLLECTION[collection]
    fields = _names(door, f"{table.path}/new{_within(table)}")
    for column in FILE_BY_NAME[f"{collection}.csv"].header:
        if column in table.made:
            yield column, f"{MADE}: {table.made[column]}"
        elif column in table.elsewhere and _is_there(door, *table.elsewhere[column]):
            yield column, table.elsewhere[column][0]
        elif _has(fields, column):
            yield column, table.path


def _pages_elsewhere(door: Door, collection: str) -> Iterator[tuple[str, str]]:
    path = ELSEWHERE[collection]
    fields = _names(door, path)
    for column in FILE_BY_NAME[f"{collection}.csv"].header:
        if (collection, column) in _MADE_ELSEWHERE:
            yield column, MADE
        elif _has(fields, _UNDER_ANOTHER_NAME.get((collection, column), column)):
            yield column, path


def _within(table: Table) -> str:
    return {"standing_lines": "?order=anna-weekly", "changes": "?order=anna-weekly", "order_lines": "?order=party"}.get(
        table.collection, ""
    )


def _is_there(door: Door, path: str, action: str) -> bool:
    """Whether the page of a quote has a form that is sent to this address."""
    page = door.ask("GET", path.format(key="fair")).text
    return any(form.action == action.format(key="fair") for form in forms_of(page))


def _names(door: Door, path: str) -> set[str]:
    """The names of all fields of the forms of a page that write something, buttons with a value too."""
    answer = door.ask("GET", path)
    assert answer.status_code == 200, path
    return {name for form in forms_of(answer.text) if form.method == "post" for name in form.names}


def _has(fields: set[str], name: str) -> bool:
    return name in fields or any(field.startswith(f"{name}.") for field in fields)


def small_door(folder: Path) -> Door:
    """A door to a farm that has a standing order, an order that is held, and a quote."""
    orders = f"{PARTY['orders'].rstrip()}\n        fair,bram,one_off,2027-06-18,,quoted\n"
    files = known_farm(**{**PARTY, "orders": orders})
    return Door(desk_over(sqlite_store(folder), files))


def page_of_columns(door: Door) -> str:
    """The page of the documents."""
    rows = (
        f"| `{column}` | {page if page.startswith(MADE) else f'`{page}`'} |"
        for column, page in pages_of_columns(door).items()
    )
    return f"{_HEAD}{chr(10).join(rows)}\n"


def main() -> None:
    """Write the page."""
    with tempfile.TemporaryDirectory() as folder, small_door(Path(folder)) as door:
        PAGE.write_text(page_of_columns(door), encoding="utf-8")
    sys.stdout.write(f"{PAGE.relative_to(ROOT)} written\n")


if __name__ == "__main__":
    main()

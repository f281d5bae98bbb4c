"""The schemas of rows say what the columns say: what they take the folder takes, and what is answered fits them."""

from typing import Any

import pytest
from jsonschema import Draft202012Validator, FormatChecker

from haulm.farm_folder.cells import SPEC_BY_COLLECTION, row_from_values, values_of
from haulm.farm_folder.faults import FolderRefused
from haulm.farm_folder.reader import read_folder
from haulm.farm_folder.schemas import changed_row_schema, new_row_schema, row_schema
from haulm.jobs.farm.change_rows import KEYED, MADE_UP
from haulm.rest.row_examples import CHANGES, NEW_ROWS
from support.project_tree import ROOT

FOLDERS = sorted(site.parent for site in (ROOT / "fixtures").rglob("farm.toml"))
STRANGE: tuple[Any, ...] = (-1, 0, 0.5, 10**12, True, "", "x", "a b", "2027-06-14", "2027-W24", ["tulip"], "thu", None)


def fits(value: object, schema: dict[str, Any]) -> bool:
    """Whether a value is what a schema describes, formats of dates and times included."""
    return Draft202012Validator(schema, format_checker=FormatChecker()).is_valid(value)


@pytest.mark.parametrize("collection", KEYED)
def test_every_schema_is_one_and_has_every_column(collection: str) -> None:
    for schema in (new_row_schema(collection), changed_row_schema(collection), row_schema(collection)):
        Draft202012Validator.check_schema(schema)
        assert set(schema["properties"]) - {"version"} == set(SPEC_BY_COLLECTION[collection].header)


@pytest.mark.parametrize("collection", KEYED)
def test_the_examples_fit(collection: str) -> None:
    assert fits(NEW_ROWS[collection], new_row_schema(collection, MADE_UP.get(collection, ())))
    assert fits(CHANGES.get(collection, {}), changed_row_schema(collection))


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_every_row_of_the_farms_at_hand_fits_as_it_is_answered(folder: Any) -> None:
    farm = read_folder(folder)

    for collection in KEYED:
        schema = row_schema(collection, has_version=False)
        assert [row for row in getattr(farm, collection) if not fits(values_of(collection, row), schema)] == []


@pytest.mark.parametrize("collection", KEYED)
def test_a_value_that_a_schema_takes_is_never_refused_for_its_kind(collection: str) -> None:
    schema = new_row_schema(collection, ("key", "date"))
    tried = 0
    for column in SPEC_BY_COLLECTION[collection].columns:
        for value in STRANGE:
            body = {**NEW_ROWS[collection], "key": "k", column.name: value}
            if column.kind.schema.keys() - {"type", "maxLength"} and fits(body, schema):
                tried += 1
                assert f"accepted is {column.kind.accepted}" not in refusal(collection, body), (column.name, value)
    assert tried


def refusal(collection: str, body: dict[str, Any]) -> str:
    """What is said against a body, if anything."""
    given = {"date": "2027-06-14", **body} if collection == "records" else body
    try:
        row_from_values(collection, given)
    except FolderRefused as found:
        return str(found)
    return ""

"""The description of the REST door: whole, in words, with examples that the service itself accepts."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from openapi_spec_validator import validate

from haulm.rest.row_examples import CHANGES, NEW_ROWS
from support.as_described import problem_types
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.farms import grower_folder
from support.known_farm import known_farm
from support.project_tree import ROOT

METHODS = ("get", "post", "patch", "put", "delete")
# What is asked of the whole farm, or opens and closes a link: nothing to say in a body.
BODYLESS = {
    "POST /v1/availability-lists",
    "POST /v1/new-figures/looked-at",
    "POST /v1/journal/{seq}/put-back",
    "POST /v1/journal/{seq}/take-back",
    "POST /v1/outbox/{number}/again",
    "POST /v1/customers/{customer}/end-links",
    "POST /v1/customers/{customer}/erase",
    "POST /v1/calendar-link",
    "POST /v1/combined-plan",
    "POST /v1/own-figures/{variety}/{figure}/accept",
    "POST /v1/own-figures/{variety}/{figure}/refuse",
}

# What only asks, and what is the same when asked again.
KEYLESS = {
    "POST /v1/may-promise",
    "POST /v1/what-if",
    "POST /v1/combined-plan",
}
SAYS_WHAT = {"type", "$ref", "anyOf", "oneOf", "allOf", "const", "enum"}
TAKES_ALL: tuple[Any, ...] = (None, True, {})
# Where a schema may take or give anything, and why.
FREE_FORM: dict[str, str] = {}


@pytest.fixture(scope="module")
def described(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """The description as it is served."""
    store = sqlite_store(tmp_path_factory.mktemp("description"))
    with Door(desk_over(store, grower_folder())) as door:
        found: dict[str, Any] = door.get("/openapi.json")
    store.close()
    return found


def operations(described: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every operation by its method and path."""
    for path, methods in described["paths"].items():
        for method, operation in methods.items():
            assert method in METHODS
            yield f"{method.upper()} {path}", operation


def references(value: Any) -> Iterator[str]:
    """Every reference inside a value."""
    if isinstance(value, dict):
        yield from (item for name, item in value.items() if name == "$ref" and isinstance(item, str))
        for item in value.values():
            yield from references(item)
    elif isinstance(value, list):
        for item in value:
            yield from references(item)


def examples(operation: dict[str, Any], described: dict[str, Any]) -> list[Any]:
    """The examples of an operation's body: whole ones, or one put together from those of its fields."""
    content = operation["requestBody"]["content"]["application/json"]
    whole = [example["value"] for example in content.get("examples", {}).values()]
    if whole:
        return whole
    schema = content["schema"]
    (name,) = {reference.rpartition("/")[2] for reference in references(schema)}
    found: list[Any] = described["components"]["schemas"][name].get("examples", [])
    return found


def free_forms(part: Any, at: str = "#") -> Iterator[str]:
    """Every place whose schema takes, or gives, anything at all."""
    if isinstance(part, list):
        for place, value in enumerate(part):
            yield from free_forms(value, f"{at}/{place}")
    elif isinstance(part, dict):
        if part.get("type") == "object" and "properties" not in part and part.get("additionalProperties") in TAKES_ALL:
            yield at
        if part.get("additionalProperties") is True:
            yield at
        named = [(f"{at}/properties/{name}", value) for name, value in part.get("properties", {}).items()]
        named += [(f"{at}/{name}", part[name]) for name in ("schema", "items") if name in part]
        yield from (place for place, schema in named if isinstance(schema, dict) and not schema.keys() & SAYS_WHAT)
        for name, value in part.items():
            if name not in ("examples", "example", "default"):
                yield from free_forms(value, f"{at}/{name}")


def test_no_body_is_free_form(described: dict[str, Any]) -> None:
    assert set(free_forms(described)) == set(FREE_FORM)


def test_it_is_valid_and_no_schema_is_named_after_a_file(described: dict[str, Any]) -> None:
    validate(described)
    assert [name for name in described["components"]["schemas"] if "__" in name] == []


def test_it_is_openapi_3_1_and_its_references_lead_somewhere(described: dict[str, Any]) -> None:
    assert described["openapi"].startswith("3.1")
    components = described["components"]
    parts = {f"#/components/{kind}/{name}" for kind in ("schemas", "responses") for name in components[kind]}
    assert set(references(described)) <= parts


def test_every_operation_has_a_summary_a_description_and_an_id_of_its_own(described: dict[str, Any]) -> None:
    found = dict(operations(described))

    assert len(found) > 40
    assert [name for name, operation in found.items() if not operation.get("summary")] == []
    assert [name for name, operation in found.items() if len(operation.get("description", "")) < 15] == []
    assert len({operation["operationId"] for operation in found.values()}) == len(found)


def test_every_operation_may_answer_with_a_problem(described: dict[str, Any]) -> None:
    problem = {"schema": {"$ref": "#/components/schemas/Problem"}}

    for name, operation in operations(described):
        assert operation["responses"]["default"]["content"] == {"application/problem+json": problem}, name
        statuses = operation["responses"].keys() - {"default", "200", "201", "202"}
        assert all(list(problem_types(described, operation, status)) for status in statuses), name
        assert "421" in statuses, name


def test_every_operation_says_who_may_call_it(described: dict[str, Any]) -> None:
    schemes = described["components"]["securitySchemes"]
    asked = {name: operation["security"] for name, operation in operations(described)}
    named = {name for needs in asked.values() for need in needs for name in need}

    assert {name for name, scheme in schemes.items() if scheme["description"]} == named
    assert asked["GET /v1/match"] == [{"bearer": ["hand"]}, {"cookie": ["hand"]}]
    assert asked["POST /v1/quotes"] == [{"bearer": ["owner"]}, {"cookie": ["owner"]}]
    assert asked["GET /v1/calendar.ics"] == [{"calendar_link": []}]
    assert sorted(name for name, needs in asked.items() if not needs) == [
        "GET /healthz",
        "GET /problems/{code}",
        "GET /v1/florist/{token}",
        "POST /v1/florist/{token}/answers",
    ]


def test_every_write_but_those_named_takes_an_idempotency_key(described: dict[str, Any]) -> None:
    keyed = {
        name
        for name, operation in operations(described)
        for parameter in operation.get("parameters", ())
        if parameter["name"] == "Idempotency-Key"
    }

    assert {name for name, _ in operations(described) if not name.startswith("GET")} - keyed == KEYLESS
    assert [name for name in keyed if name.startswith("GET")] == []


def test_every_body_has_an_example(described: dict[str, Any]) -> None:
    writes = {name: operation for name, operation in operations(described) if name.startswith(("POST", "PATCH"))}
    without = {name for name, operation in writes.items() if "requestBody" not in operation}

    assert without == BODYLESS
    assert [name for name in writes.keys() - BODYLESS if not examples(writes[name], described)] == []


def test_the_examples_of_rows_fit_together_on_an_empty_farm(described: dict[str, Any], tmp_path: Path) -> None:
    store = sqlite_store(tmp_path)
    with Door(desk_over(store, grower_folder())) as door:
        keys = {}
        for collection in NEW_ROWS:
            path = f"/v1/{collection.replace('_', '-')}"
            (example,) = examples(described["paths"][path]["post"], described)
            keys[path] = door.post(path, example)["key"]
        for collection in CHANGES:
            path = f"/v1/{collection.replace('_', '-')}"
            (example,) = examples(described["paths"][f"{path}/{{key}}"]["patch"], described)
            door.patch(f"{path}/{keys[path]}", example)
    store.close()


def test_the_examples_of_promises_are_accepted(described: dict[str, Any], tmp_path: Path) -> None:
    store = sqlite_store(tmp_path)
    with Door(desk_over(store, known_farm())) as door:
        for example in examples(described["paths"]["/v1/quotes"]["post"], described):
            quote = door.post("/v1/quotes", example)["id"]
        for step in ("hold", "contract"):
            (example,) = examples(described["paths"][f"/v1/quotes/{{quote_id}}/{step}"]["post"], described)
            door.post(f"/v1/quotes/{quote}/{step}", {**example, "override": True})
        confirm = described["paths"]["/v1/bucket-lists/{day}/confirm"]["post"]
        for example in examples(confirm, described):
            door.settle("/v1/bucket-lists/2027-06-14", example, cut=["k1"])
    store.close()


def test_the_page_on_rest_names_every_route(described: dict[str, Any]) -> None:
    page = (ROOT / "docs/reference/rest.md").read_text(encoding="utf-8")

    assert [path for path in described["paths"] if f"{path}`" not in page and f"{path}." not in page] == []

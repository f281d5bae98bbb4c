"""GET /v1/digest and /healthz."""

from typing import Any

from support.door import Door
from support.known_farm import growing_farm, known_farm


def test_the_letter_is_narrow_and_names_what_is_short_by_when_and_what_to_do(open_door: Any) -> None:
    door = open_door(growing_farm()).worked_out()

    found = door.get("/v1/digest")

    text = found["text"]
    assert max(map(len, text.splitlines())) <= 76
    assert text.startswith("Known stems, Mon 14 Jun 2027\n")
    assert "1 gap at the level each was promised at, else weddings 80 %," in text
    (gap,) = found["gaps"]
    assert (gap["product"], gap["weeks"]) == ("lagurus", ["2027-W37", "2027-W38"])
    assert gap["best"]["closes"]
    assert " ".join(gap["best"]["sentence"].split()) in " ".join(text.split())
    assert "anna" not in text and "Forecasts are estimates, not guarantees." in text


def test_the_letter_says_what_is_due_on_the_farm(open_door: Any) -> None:
    door = open_door(growing_farm())

    (task,) = door.get("/v1/digest")["tasks"]
    assert (task["date"], "batch first" in task["sentence"], "overdue" in task["sentence"]) == (
        "2027-05-25",
        True,
        True,
    )


def test_many_overdue_sowings_are_one_sentence(open_door: Any) -> None:
    files = growing_farm()
    rows = "".join(f"late-{day},lagurus,2027-05-{day},direct,15,10,south,planned\n" for day in range(10, 15))
    files["batches.csv"] = b"key,variety,sow_date,method,sown,plants,bed,status\n" + rows.encode()

    (task,) = open_door(files).get("/v1/digest")["tasks"]
    assert task["sentence"].startswith("5 sowings are overdue, the first since 2027-05-10")
    assert all(f"late-{day}" in task["sentence"] for day in range(10, 15))


def test_a_hold_that_lets_go_this_week_is_a_task(door: Door) -> None:
    quote = door.post("/v1/quotes", {"date": "2027-06-20", "lines": [{"product": "lagurus", "stems": 5}]})["id"]
    door.post(f"/v1/quotes/{quote}/hold", {"until": "2027-06-17"})

    found = door.get("/v1/digest")
    assert found["tasks"] == [
        {"date": "2027-06-17", "sentence": f"The hold on order {quote} lets go at the end of the day."}
    ]
    assert f"Thu 17 Jun 2027  The hold on order {quote}" in found["text"]


def test_nothing_short_is_good_news(door: Door) -> None:
    found = door.get("/v1/digest")

    assert "Nothing is short at the level each was promised at," in found["text"]
    assert (found["gaps"], found["more_gaps"]) == ([], 0) and "weddings 80 %" in found["levels"]


def test_a_letter_does_not_grow_with_the_gaps(open_door: Any) -> None:
    weeks = range(30, 38)
    orders = "key,customer,weekday,first_week,last_week\n" + "\n".join(
        f"o{n},anna,tue,2027-W{week},2027-W{week}" for n, week in enumerate(weeks)
    )
    lines = "key,order,stems,product\n" + "\n".join(
        f"l{n},o{n},20,{'lagurus' if n % 2 else 'nigella'}" for n, _ in enumerate(weeks)
    )
    found = open_door(known_farm(standing_orders=orders, standing_lines=lines)).get("/v1/digest")

    assert (len(found["gaps"]), found["more_gaps"]) == (7, 1)
    assert "and 1 more: see the list of shortfalls." in found["text"]


def test_the_service_says_that_its_database_answers(door: Door) -> None:
    assert door.get("/healthz") == {"status": "ok"}

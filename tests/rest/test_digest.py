"""GET /v1/digest and /healthz."""

from datetime import date
from typing import Any

from haulm.farm.weeks import day_in_words
from haulm.jobs.gaps.follow_jobs import work_out_jobs
from support.door import Door
from support.known_farm import growing_farm, known_farm


def worked_out(door: Door) -> dict[str, Any]:
    """The early warning once the background has done its work."""
    work_out_jobs(door.desk)
    found: dict[str, Any] = door.get("/v1/digest")
    return found


def test_the_letter_is_narrow_and_names_what_is_short_by_when_and_what_to_do(open_door: Any) -> None:
    door = open_door(growing_farm()).worked_out()

    found = worked_out(door)

    text = found["text"]
    assert max(map(len, text.splitlines())) <= 76
    assert text.startswith("Known stems, Mon 14 Jun 2027\n")
    said = " ".join(text.split())
    assert "Short is what is less sure than it should be: the level each was promised at, else weddings 80 %," in said
    (gap,), (job,) = found["gaps"], door.get("/v1/jobs")["jobs"]
    assert (gap["product"], gap["weeks"]) == ("lagurus", ["2027-W37", "2027-W38"])
    assert gap["best"]["closes"]
    assert f"By {day_in_words(date.fromisoformat(job['date']))}: {job['sentence']} (new)" in said
    assert "closes weeks 37 to 38; from" in job["sentence"] and job["date"] == gap["decide_by"]
    assert "anna" not in text and "Forecasts are estimates, not guarantees." in text


def test_a_gap_whose_job_is_not_worked_out_is_told_all_the_same(open_door: Any) -> None:
    text = " ".join(open_door(growing_farm()).get("/v1/digest")["text"].split())

    assert "Hare's-tail grass, weeks 37 to 38: about" in text and "what to do is still being worked out." in text


def test_the_letter_says_what_is_due_on_the_farm(open_door: Any) -> None:
    door = open_door(growing_farm())

    (task,) = door.get("/v1/digest")["tasks"]
    overdue = "Overdue: write down as sown, or it counts for nothing: Hare's-tail grass"
    assert task["date"] == "2027-06-14" and task["sentence"].startswith(overdue)
    assert "due Tue 25 May 2027" in task["sentence"]
    assert door.get("/v1/jobs")["work"] == [{"work": "overdue", **task}]


def test_many_overdue_sowings_are_one_sentence_without_a_key(open_door: Any) -> None:
    files = growing_farm()
    rows = "".join(f"late-{day},lagurus,2027-05-{day},direct,15,10,south,planned\n" for day in range(10, 15))
    files["batches.csv"] = b"key,variety,sow_date,method,sown,plants,bed,status\n" + rows.encode()

    (task,) = open_door(files).get("/v1/digest")["tasks"]
    assert all(f"due {day_in_words(date(2027, 5, day))}" in task["sentence"] for day in range(10, 15))
    assert "late-" not in task["sentence"] and "2027-05" not in task["sentence"]


def test_a_hold_that_lets_go_this_week_is_a_task_without_its_key(door: Door) -> None:
    quote = door.post("/v1/quotes", {"date": "2027-06-20", "lines": [{"product": "lagurus", "stems": 5}]})["id"]
    door.post(f"/v1/quotes/{quote}/hold", {"until": "2027-06-17"})

    found = door.get("/v1/digest")
    said = "The hold on the wedding that leaves on Fri 18 Jun 2027 lets go at the end of the day."
    assert found["tasks"] == [{"date": "2027-06-17", "sentence": said}]
    text = " ".join(found["text"].split())
    assert f"Thu 17 Jun: {said[0].lower()}{said[1:]}" in text and quote not in text


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
    found = worked_out(open_door(known_farm(standing_orders=orders, standing_lines=lines)))

    assert (len(found["gaps"]), found["more_gaps"]) == (7, 1)
    assert len([line for line in found["text"].splitlines() if line]) <= 1 + 15 + 5
    assert all(f"week {week}" in " ".join(found["text"].split()) for week in weeks)


def test_the_service_says_that_its_database_answers(door: Door) -> None:
    assert door.get("/healthz") == {"status": "ok"}

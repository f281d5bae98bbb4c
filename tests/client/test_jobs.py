"""`haulm jobs` and `haulm tonight`: what to do, and what to cut before dark."""

from support.canned_service import Client

JOB = {
    "sentence": "By Mon 3 May 2027: Order seed of Hare's-tail grass.",
    "whose": "For Quillbeck Flowers.",
    "missed": "",
    "pending": False,
}
WORK = {"work": "sow", "date": "2027-03-18", "sentence": "Sow with heat: White snapdragon (200 places)."}


def test_jobs_come_first_and_what_is_due_with_its_day(client: Client) -> None:
    ended = client.shows("jobs", body={"currency": "EUR", "jobs": [JOB], "work": [WORK]})

    assert ended.asked == "GET /v1/jobs"
    assert ended.out.index("Order seed") < ended.out.index("Thu 18 Mar 2027: Sow with heat")
    assert "For Quillbeck Flowers." in ended.out


def test_a_job_still_to_be_worked_out_says_so(client: Client) -> None:
    ended = client.shows("jobs", body={"jobs": [{**JOB, "pending": True}], "work": []})

    assert "It is still to be" in ended.out and "Due on the farm" not in ended.out


def test_a_farm_with_nothing_to_do_is_told_so(client: Client) -> None:
    assert "Nothing is due" in client.shows("jobs", body={"jobs": [], "work": []}).out


def test_tonight_says_what_to_cut_for_whom_and_what_a_cover_saves(client: Client) -> None:
    row = {"name": "White cosmos", "beds": "South bed", "stands": "40 stand", "keeps": "keeps until Sat 7 Aug 2027"}
    body = {
        "head": "Frost tonight",
        "cut": [{**row, "for_whom": ["Quillbeck Flowers, 20 stems"]}],
        "cover": ["Zinnia in North bed"],
        "lost": "Lost: nasturtium.",
    }
    ended = client.shows("tonight", "--min-c", "-3", body=body)

    assert ended.asked == "GET /v1/tonight?threat=frost&min_c=-3.0"
    assert "White cosmos, South bed: 40 stand; keeps until Sat 7 Aug 2027." in ended.out
    assert "For Quillbeck Flowers, 20 stems." in ended.out
    assert "Zinnia in North bed" in ended.out and "Lost: nasturtium." in ended.out


def test_tonight_says_when_nothing_would_be_lost(client: Client) -> None:
    ended = client.shows("tonight", "heat", body={"head": "Heat to come", "cut": []})

    assert ended.asked == "GET /v1/tonight?threat=heat"
    assert "Nothing that stands ready would be lost." in ended.out

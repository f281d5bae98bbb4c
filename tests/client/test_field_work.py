"""`haulm bucket-list`, `match`, `record` and `batch`: Monday's buckets, and what the grower writes down."""

from collections.abc import Iterable

import pytest

from haulm.farm.words import LossReason, Method, RecordKind, Weekday
from haulm.jobs.field.record_walk import Blank, Said
from haulm_cli.commands.arguments import WEEKDAYS
from haulm_cli.commands.batch import METHODS
from haulm_cli.commands.record import KINDS, REASONS
from haulm_cli.commands.walk import BLANK, SAID
from support.canned_service import Client

FROM = [
    {"product": "ammi", "ready_date": "2027-08-05", "stems": 30},
    {"product": "phlox", "ready_date": "2027-08-06", "stems": 8},
]
BUCKETS = {
    "date": "2027-08-09",
    "from": "2027-08-09",
    "to": "2027-08-15",
    "confirmed": False,
    "customers": [
        {
            "customer": "Corner florist",
            "lines": [
                {
                    "line": "std-3",
                    "product": "ammi",
                    "due": "2027-08-09",
                    "state": "expected",
                    "asked": 50,
                    "yours": 36,
                    "up_to": 45,
                    "filled": 38,
                    "bunches": 3,
                    "over": 8,
                    "from": FROM,
                    "caution": "sap burns in sun",
                },
                {"line": "std-4", "product": "phlox", "due": "2027-08-09", "asked": 20, "filled": 20},
            ],
        }
    ],
}


def test_a_bucket_list_says_by_customer_what_is_asked_filled_and_short(client: Client) -> None:
    ended = client.shows("bucket-list", "2027-08-09", body=BUCKETS)

    assert ended.asked == "GET /v1/bucket-lists/2027-08-09"
    assert "due 2027-08-09 to 2027-08-15: expected, or settled in part" in ended.out
    assert ["Corner", "florist"] in ended.rows
    short, full = (found for found in ended.rows if found[:1] == ["2027-08-09"])
    assert short[1:8] == ["ammi", "std-3", "expected", "36", "45", "50", "38"]
    assert full == ["2027-08-09", "phlox", "std-4", "-", "-", "-", "20", "20", "-", "-", "-"]


def test_a_bucket_list_says_where_stems_come_from_and_what_to_beware_of(client: Client) -> None:
    words = " ".join(client.shows("bucket-list", "2027-08-09", body=BUCKETS).out.split())

    assert "Caution, ammi: sap burns in sun" in words
    assert "from 30 of 2027-08-05, 8 phlox of 2027-08-06" in words


@pytest.mark.parametrize("columns", [60, 70, 80, 90, 100])
def test_a_bucket_list_splits_no_date_and_no_key(client: Client, columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    days = [{"product": "dahlia_white", "ready_date": f"2027-08-{day:02d}", "stems": day} for day in range(1, 20)]
    line = {"line": "wedding-august-12", "product": "dahlia_white", "due": "2027-08-13", "asked": 200, "filled": 190}
    customers = [{"customer": "couple-august", "lines": [{**line, "bunches": 19, "over": 4, "from": days}]}]

    out = client.shows("bucket-list", "2027-08-09", body={**BUCKETS, "customers": customers}).out

    assert max(map(len, out.splitlines())) <= columns
    whole = [
        "wedding-august-12",
        "dahlia_white",
        "2027-08-13",
        *(f"{day} of 2027-08-{day:02d}" for day in range(1, 20)),
    ]
    assert [part for part in whole if part not in out] == []
    figures = next(line.split() for line in out.splitlines() if " 190 " in line)
    assert figures[-5:] == ["200", "190", "10", "19", "4"]


def test_a_line_that_leaves_the_choice_open_is_named_by_its_choice(client: Client) -> None:
    line = {"line": "std-5", "product": None, "choice": "role=filler", "asked": 20, "filled": 20, "caution": "spiny"}
    body = {**BUCKETS, "customers": [{"customer": "Corner florist", "lines": [line]}]}

    ended = client.shows("bucket-list", "2027-08-09", body=body)

    assert ["-", "role=filler", "std-5", "-", "-", "-", "20", "20"] in [row[:8] for row in ended.rows]
    assert "Caution, role=filler: spiny" in ended.out


def test_a_list_is_confirmed_only_when_asked(client: Client) -> None:
    ended = client.shows(
        "bucket-list", "2027-08-09", "--confirm", "--seen", "a1b2", body={**BUCKETS, "confirmed": True}
    )

    assert (ended.asked, ended.sent) == ("POST /v1/bucket-lists/2027-08-09/confirm", {})
    assert ended.requests[0].headers["If-Match"] == '"a1b2"'
    assert "2027-08-15: settled" in ended.out


def test_an_empty_bucket_list_is_said(client: Client) -> None:
    assert "No line is due" in client.shows("bucket-list", "2027-08-09", body={**BUCKETS, "customers": []}).out


def test_a_match_lists_lines_that_get_nothing_too(client: Client) -> None:
    line = {
        "line": "l1",
        "order": "o1",
        "product": "ammi",
        "due": "2027-08-12",
        "stems": 40,
        "filled": 38,
        "from": FROM,
    }
    empty = {**line, "line": "l2", "filled": 0, "from": [], "confidence": 0.0}

    ended = client.shows(
        *"match --from 2027-08-09 --to 2027-08-15 --season expected".split(), body={"lines": [line, empty]}
    )

    assert ended.asked == "GET /v1/match?from=2027-08-09&to=2027-08-15&season=expected"
    assert ["2027-08-12", "o1", "l2", "ammi", "40", "0", "0", "%", "-"] in ended.rows
    assert "30 of 2027-08-05, 8 phlox of 2027-08-06" in ended.out


def test_a_record_sends_what_was_said_and_nothing_else(client: Client) -> None:
    words = "record first-cut --batch ammi-1 --count 40 --left 0 --date 2027-07-30 --note".split()

    ended = client.shows(*words, "short stems", body={"key": "r9"})

    assert ended.asked == "POST /v1/records"
    assert ended.sent == {
        "kind": "first_cut",
        "date": "2027-07-30",
        "batch": "ammi-1",
        "count": 40,
        "left": 0,
        "note": "short stems",
    }
    assert "Recorded on 2027-07-30: first_cut, ammi-1, count 40, left 0 (record r9)." in ended.out


def test_a_record_of_a_variety_is_shown_batch_by_batch(client: Client) -> None:
    parts = [
        {"key": "r1", "batch": "ammi-1", "count": 25, "date": "2027-07-30"},
        {"key": "r2", "batch": "ammi-2", "count": 15, "date": "2027-07-30"},
    ]

    ended = client.shows(*"record cut --variety ammi --count 40".split(), body={"records": parts})

    assert "cut, ammi-1, count 25 (record r1)" in ended.out
    assert "cut, ammi-2, count 15 (record r2)" in ended.out


def test_a_final_count_and_a_whole_farm_frost_can_be_recorded(client: Client) -> None:
    germinated = client.shows(*"record germinated --batch ammi-1 --count 70 --final".split(), body={})
    frost = client.shows("record", "frost", body={})

    assert germinated.sent == {"kind": "germinated", "batch": "ammi-1", "count": 70, "final": True}
    assert frost.sent == {"kind": "frost"}


def test_a_batch_is_sent_and_named(client: Client) -> None:
    words = "batch lagurus --sow 2027-03-15 --method heated --sown 104 --plants 90 --bed b2".split()

    ended = client.shows(*words, body={"key": "lagurus-4"})

    assert ended.asked == "POST /v1/batches"
    assert ended.sent == {
        "variety": "lagurus",
        "sow_date": "2027-03-15",
        "method": "heated",
        "sown": 104,
        "plants": 90,
        "bed": "b2",
    }
    assert "Batch lagurus-4: lagurus, 104 places, heated, sow 2027-03-15, bed b2." in ended.out


@pytest.mark.parametrize(
    ("own", "service"),
    [
        (KINDS, RecordKind),
        (METHODS, Method),
        (WEEKDAYS, Weekday),
        (REASONS, LossReason),
        (("standing", *SAID), Said),
        (BLANK, Blank),
    ],
)
def test_the_client_knows_the_words_of_the_service(own: tuple[str, ...], service: Iterable[str]) -> None:
    assert list(own) == [str(word) for word in service]

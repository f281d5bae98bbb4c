"""`haulm journal` and `haulm take-back`: what was written, in words, and the way back."""

from support.canned_service import Client

ENTRY = {
    "entry": 118,
    "at": "2027-06-14T06:30:00+00:00",
    "who": "the grower",
    "what": "Changed",
    "about": "Batch of zinnia",
    "rows": ["Batch of zinnia in Pond bed two: sow date Mon 3 May → Wed 5 May"],
    "taken_back": False,
    "why_not": "",
}


def test_each_entry_says_what_changed_and_why_it_cannot_be_taken_back(client: Client) -> None:
    refused = {**ENTRY, "entry": 117, "rows": [], "taken_back": True, "why_not": "It is taken back already."}
    ended = client.shows("journal", "--about", "batches/b1", body={"entries": [ENTRY, refused], "next": 117})

    assert ended.out.splitlines() == [
        "118. 2027-06-14 06:30, the grower: Changed, Batch of zinnia",
        "   Batch of zinnia in Pond bed two: sow date Mon 3 May → Wed 5 May",
        "117. 2027-06-14 06:30, the grower: Changed, Batch of zinnia (taken back)",
        "   Not taken back: It is taken back already.",
        "Earlier: haulm journal --before 117",
    ]
    assert ended.asked == "GET /v1/journal?about=batches%2Fb1"


def test_an_empty_journal_says_so(client: Client) -> None:
    assert client.shows("journal", body={"entries": [], "next": None}).out == "Nothing was written yet.\n"


def test_an_entry_is_taken_back_and_put_back_by_its_number(client: Client) -> None:
    done = client.shows("take-back", "118", body={"entries": [118], "by": 120, "letters": 2})
    again = client.shows("take-back", "118", "--undo", body={"entries": [118], "by": 121, "letters": 0})

    assert done.asked == "POST /v1/journal/118/take-back" and "Letters that correct others: 2." in done.out
    assert again.asked == "POST /v1/journal/118/put-back" and again.out == "Entry 118 is put back.\n"

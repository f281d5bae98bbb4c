"""`haulm mails`: how far each letter has come, and what the mail server said."""

from support.canned_service import Client

SENT = {
    "number": 3,
    "kind": "digest",
    "customer": None,
    "state": "sent",
    "tries": 2,
    "repeats": 1,
    "answer": "250 taken",
}
GONE = {"number": 2, "kind": "availability", "customer": "anna", "state": "given_up", "tries": 8, "repeats": 0}


def test_each_letter_says_to_whom_how_far_and_what_was_answered(client: Client) -> None:
    ended = client.shows("mails", body={"letters": [SENT, {**GONE, "answer": "550 no such mailbox"}]})

    rows = [" ".join(line.split()) for line in ended.out.splitlines()]
    assert "3 digest the farm sent 2 1 250 taken" in rows
    assert "2 availability anna given up 8 0 550 no such mailbox" in rows
    assert ended.asked == "GET /v1/outbox"


def test_a_letter_that_was_given_up_is_tried_again_by_its_number(client: Client) -> None:
    ended = client.shows("mails", "--again", "2", body={"number": 2})

    assert (ended.asked, ended.out) == ("POST /v1/outbox/2/again", "Letter 2 waits to be tried anew.\n")


def test_before_the_first_letter_it_says_so(client: Client) -> None:
    assert client.shows("mails", body={"letters": []}).out == "No letter has been written yet.\n"

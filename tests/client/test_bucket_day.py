"""`haulm walk`, `cut-list`, `cut`, `store`, `claim`, `fill-rate`, `season-end`: a bucket day without a browser."""

import pytest

from haulm.jobs.field.cool_store import WAYS_OUT as SERVICE_WAYS
from haulm_cli.commands.store import WAYS_OUT
from support.canned_service import Client

GROWING = {
    "batch": "lagurus-1",
    "variety": "lagurus",
    "name": "Bunny tail",
    "last": 0,
    "last_on": "2027-08-05",
    "expected_p10": 40,
    "expected_p50": 80,
    "expected_p90": 120,
    "soon": True,
    "begun": True,
}
STOP = {"bed": "south", "name": "South bed", "growing": [GROWING], "sprayed": False}
ROW = {
    "product": "lagurus",
    "name": "Bunny tail",
    "caution": "awned",
    "min_length_cm": 40,
    "stage": None,
    "stems": 55,
    "up_to": 70,
    "beds": [{"bed": "South bed", "batches": ["lagurus-1"]}],
    "for": [
        {"customer": "anna", "due": "2027-08-10", "stems": 50, "up_to": 65, "spare": False},
        {"customer": "bram", "due": "2027-08-12", "stems": 5, "up_to": 5, "spare": True},
    ],
}
CLAIM = {
    "number": 9,
    "line": "anna-1",
    "due": "2027-08-10",
    "customer": "anna",
    "stems": 15,
    "reason": "heads bruised",
    "credit_minor": 450,
    "on": "2027-08-11",
    "batches": ["lagurus-1"],
}


CARE = [
    {"kinds": ["Bunny tail", "Barley"], "severity": "dangerous", "sentences": ["Awns: keep dogs out.", "Keep dry."]}
]


def test_warnings_of_a_place_are_asked_for_kinds_or_for_all(client: Client) -> None:
    body = {"place": "heated_bench", "general": ["Off at the plug."], "take_care": CARE, "weeds": ["Hare: spreads."]}
    ended = client.shows("warnings", "heated_bench", "lagurus", "barley", body=body)

    assert ended.asked == "GET /v1/warnings/heated_bench?variety=lagurus&variety=barley"
    for words in (
        "Take care: heated bench",
        "Danger, Bunny tail, Barley",
        "Off at the plug.",
        "spreads, Hare: spreads.",
    ):
        assert words in ended.out
    assert client.shows("warnings", "cut", body={"place": "cut"}).asked == "GET /v1/warnings/cut"
    assert client.run("warnings", "moon", answers=[]).code == 2


def test_a_walk_shows_the_last_count_beside_what_should_stand(client: Client) -> None:
    ended = client.shows("walk", body={"date": "2027-08-09", "stops": [STOP], "take_care": CARE})

    assert ended.asked == "GET /v1/walk"
    assert "South bed lagurus-1 lagurus 0 2027-08-05 40 80 120".split() in ended.rows
    assert ended.out.count("Danger, Bunny tail, Barley: Awns: keep dogs out. Keep dry.") == 1
    assert "do not go in" not in ended.out


def test_a_walk_says_where_nobody_should_go_in(client: Client) -> None:
    ended = client.shows("walk", body={"date": "2027-08-09", "stops": [{**STOP, "sprayed": True}]})

    assert "South bed: inside a spray's waiting time, do not go in." in ended.out


def test_counts_of_a_walk_are_sent_together_and_nought_is_a_count(client: Client) -> None:
    words = "walk --count lagurus=80 --count ammi=0 --not-ready lagurus=20 --frost".split()

    ended = client.shows(*words, body={"records": ["walk-1", "walk-2", "frost-1"]})

    assert ended.asked == "POST /v1/walk"
    assert ended.sent == {
        "counts": [
            {"variety": "lagurus", "standing": 80, "not_ready": 20},
            {"variety": "ammi", "standing": 0},
        ],
        "frost": True,
    }
    assert "walk-1, walk-2, frost-1" in ended.out


def test_what_was_seen_bed_by_bed_is_sent_with_the_walks_own_key(client: Client) -> None:
    words = (
        "walk --bed-count lagurus-1=40 --seen ammi-1=part-lost:30 --seen ammi-2=part_lost:25% --seen phlox-1=gone-over"
    )
    more = "--blank nothing-yet --walk phone-7 --date 2027-08-08 --really"
    ended = client.shows(*words.split(), *more.split(), body={"records": ["phone-7-1"], "blank": []})

    assert ended.sent == {
        "counts": [{"batch": "lagurus-1", "standing": 40}],
        "frost": False,
        "seen": [
            {"said": "part_lost", "batch": "ammi-1", "count": 30},
            {"said": "part_lost", "batch": "ammi-2", "share_pct": 25},
            {"said": "gone_over", "batch": "phlox-1"},
        ],
        "blank": "nothing_yet",
        "walk": "phone-7",
        "date": "2027-08-08",
        "really": True,
    }


def test_what_was_left_blank_is_asked_about(client: Client) -> None:
    blank = [{"batch": "ammi-3", "variety": "ammi", "name": "Bishop's flower", "bed": "south"}]
    ended = client.shows("walk", "--bed-count", "lagurus-1=40", body={"records": ["walk-1"], "blank": blank})

    words = " ".join(ended.out.split())
    assert "Left blank: Bishop's flower (ammi-3); say --blank nothing_yet where you looked" in words


@pytest.mark.parametrize("words", ["ammi-1=part_lost:x", "ammi-1=eaten", "part_lost:30", "ammi-1=part_lost:"])
def test_what_cannot_be_said_of_a_sowing_is_no_use(client: Client, words: str) -> None:
    ended = client.run("walk", "--seen", words, answers=[])

    assert (ended.code, ended.requests) == (2, [])
    assert "does not say what was seen" in ended.err


@pytest.mark.parametrize(
    ("words", "route"),
    [
        ("cut 500 --variety lagurus --key phone-9 --date 2027-08-08 --really", "POST /v1/cuts"),
        ("record lost --batch ammi-1 --share-pct 25 --reason weather --key phone-8 --really", "POST /v1/records"),
    ],
)
def test_what_is_said_again_is_sent_so(client: Client, words: str, route: str) -> None:
    ended = client.shows(*words.split(), body={"records": ["phone"], "key": "phone"})

    assert ended.asked == route
    assert ended.sent["really"] is True and ended.sent["key"].startswith("phone-")


@pytest.mark.parametrize(
    "words", ["walk --not-ready lagurus=20", "walk --count lagurus=8 --count lagurus=9", "walk --count lagurus"]
)
def test_buds_alone_and_a_kind_twice_are_no_count(client: Client, words: str) -> None:
    ended = client.run(*words.split(), answers=[])

    assert (ended.code, ended.requests) == (2, [])
    assert "count" in ended.err


def test_a_cut_list_says_what_where_and_for_whom(client: Client) -> None:
    ended = client.shows(
        "cut-list",
        "2027-08-09",
        body={
            "date": "2027-08-09",
            "rows": [ROW],
            "closed_beds": ["North"],
            "take_care": CARE,
            "handling": ["Bunny tail: sheds."],
        },
    )

    assert ended.asked == "GET /v1/cut-lists/2027-08-09"
    words = " ".join(ended.out.split())
    assert "South bed lagurus 55 to 70 40 - 50 to 65 anna 2027-08-10, 5 spare bram 2027-08-12" in words
    assert words.count("Danger, Bunny tail, Barley: Awns: keep dogs out. Keep dry.") == 1
    assert words.index("Do not go in") < words.index("Danger")
    assert "Handling, Bunny tail: sheds." in words
    assert "a spray's waiting time is not over: North." in words


def test_a_cut_list_with_nothing_on_it_says_so(client: Client) -> None:
    assert "Nothing is to be cut" in client.shows("cut-list", "2027-08-09", body={"rows": [], "closed_beds": []}).out


def test_a_cut_sends_what_was_said_and_nothing_else(client: Client) -> None:
    plain = client.shows("cut", "40", "--variety", "lagurus", body={"records": ["r9"]})
    words = "cut 40 --batch lagurus-2 --left 0 --length-cm 50 --grade B --beyond-count".split()
    whole = client.shows(*words, body={"records": ["r9"]})

    assert (plain.asked, plain.sent) == ("POST /v1/cuts", {"stems": 40, "variety": "lagurus"})
    assert whole.sent == {
        "stems": 40,
        "batch": "lagurus-2",
        "left": 0,
        "length_cm": 50,
        "grade": "B",
        "beyond_count": True,
    }
    assert "40 stems of lagurus-2 (record r9)" in whole.out


@pytest.mark.parametrize("words", ["cut 40", "cut 0 --variety lagurus", "cut 40 --variety lagurus --batch l-1"])
def test_a_cut_is_of_some_stems_of_one_batch_or_variety(client: Client, words: str) -> None:
    ended = client.run(*words.split(), answers=[])

    assert (ended.code, ended.requests) == (2, [])


def test_the_store_shows_from_when_until_when(client: Client) -> None:
    one = {"pile": "r9", "product": "lagurus", "stems": 40, "cut_on": "2027-08-09", "over": False}
    days = {"usable_from": "2027-08-10", "usable_until": "2027-08-13"}

    ended = client.shows("store", body={"stems": [{**one, **days}]})

    assert ended.asked == "GET /v1/store"
    assert "r9 lagurus 40 2027-08-09 2027-08-10 2027-08-13 no".split() in ended.rows
    assert client.shows("store", body={"stems": []}).out == "The cool store is empty.\n"


@pytest.mark.parametrize("to", WAYS_OUT)
def test_stems_leave_the_store_one_way_at_a_time(client: Client, to: str) -> None:
    ended = client.shows("store", f"--{to}", "r9=10", body={"pile": "r9", "to": to, "stems": 10})

    assert (ended.asked, ended.sent) == ("POST /v1/store/moves", {"pile": "r9", "to": to, "stems": 10})
    assert f"10 stems of r9 went to: {to}." in ended.out
    assert client.run("store", "--stall", "r9=1", "--waste", "r9=1", answers=[]).code == 2


def test_the_client_knows_the_ways_out_of_the_service() -> None:
    assert list(WAYS_OUT) == [str(way) for way in SERVICE_WAYS]


def test_claims_are_listed_with_the_batches_they_lead_to(client: Client) -> None:
    ended = client.shows("claim", body={"claims": [CLAIM]})

    assert ended.asked == "GET /v1/claims"
    words = " ".join(ended.out.split())
    for part in ("anna", "anna-1", "2027-08-10", "heads bruised", "450", "lagurus-1"):
        assert part in words


def test_a_claim_is_sent_as_far_as_it_was_said_and_the_service_names_what_is_missing(client: Client) -> None:
    words = "claim anna-1 --due 2027-08-10 --stems 15 --credit-minor 450 --reason bruised".split()
    whole = client.shows(*words, body={"stems": 15})
    part = client.shows("claim", "--stems", "15", body={"stems": 15})

    assert whole.asked == part.asked == "POST /v1/claims"
    assert whole.sent == {"line": "anna-1", "due": "2027-08-10", "stems": 15, "reason": "bruised", "credit_minor": 450}
    assert part.sent == {"stems": 15}


def test_a_fill_rate_is_rounded_down(client: Client) -> None:
    day = {"customer": "anna", "date": "2027-08-09", "asked": 1000, "sent": 999, "instead": 10, "share": 0.999}

    ended = client.shows("fill-rate", "--customer", "anna", body={"days": [day]})

    assert ended.asked == "GET /v1/fill-rate?customer=anna"
    assert "2027-08-09 anna 1000 999 10 99 %".split() in ended.rows


def test_a_season_is_shown_by_batch_and_by_customer(client: Client) -> None:
    batch = {"batch": "b-1", "variety": "ammi", "cut": 300, "wasted": 12, "sold": 250, "sold_share": 0.8333}
    idle = {"batch": "b-2", "variety": "ammi", "cut": 0, "wasted": 3, "sold": 0, "sold_share": None}
    body = {
        "year": 2027,
        "batches": [{**batch, "metres": 10.0, "stems_by_metre": 30.0}, {**idle, "stems_by_metre": None}],
        "customers": [{"customer": "anna", "asked": 260, "sent": 250}],
    }

    ended = client.shows("season-end", "--year", "2027", body=body)

    assert ended.asked == "GET /v1/season-end?year=2027"
    assert "b-1 ammi 300 30 12 250 83 %".split() in ended.rows
    assert "b-2 ammi 0 - 3 0 -".split() in ended.rows
    assert ["anna", "260", "250"] in ended.rows


def test_what_is_decided_of_a_list_goes_with_its_confirmation_and_never_without(client: Client) -> None:
    words = "--send anna-1@2027-08-10=0 --evenly lagurus --acknowledge anna".split()
    words += "--fill anna-1@2027-08-10=nigella --fill bram-1@2027-08-10=lagurus:dried".split()
    body = {"from": "2027-08-09", "to": "2027-08-15", "confirmed": True, "customers": []}

    ended = client.shows("bucket-list", "2027-08-09", "--confirm", "--seen", "a1b2", *words, body=body)
    silent = client.run("bucket-list", "2027-08-09", *words, answers=[])

    assert ended.sent == {
        "lines": [
            {"line": "anna-1", "due": "2027-08-10", "stems": 0, "product": "nigella"},
            {"line": "bram-1", "due": "2027-08-10", "product": "lagurus:dried"},
        ],
        "evenly": ["lagurus"],
        "acknowledge": ["anna"],
    }
    assert (silent.code, silent.requests) == (2, [])
    assert "--confirm" in silent.err


@pytest.mark.parametrize("sent", ["anna-1", "anna-1=5", "anna-1@2027-08-10", "anna-1@monday=5", "@2027-08-10=5"])
def test_a_line_that_is_sent_less_is_named_with_its_day_and_stems(client: Client, sent: str) -> None:
    ended = client.run("bucket-list", "2027-08-09", "--confirm", "--send", sent, answers=[])

    assert (ended.code, ended.requests) == (2, [])


def test_the_prices_of_a_list_are_shown_with_every_credit(client: Client) -> None:
    sums = {"agreed_minor": 1500, "short_minor": 100, "stand_in_minor": 160, "claimed_minor": 0, "due_minor": 1240}
    line = {"line": "party-1", "due": "2027-06-18", "sent": 28, **sums}
    body = {"date": "2027-06-14", "currency": "EUR", "customers": [{"customer": "bram", "lines": [line], **sums}]}
    ended = client.shows("bucket-list", "2027-06-14", "--prices", body=body)

    assert ended.asked == "GET /v1/bucket-lists/2027-06-14/prices"
    words = " ".join(ended.out.split())
    for part in ("bram", "party-1", "all of it", "15.00", "1.60", "12.40"):
        assert part in words
    assert client.run("bucket-list", "2027-06-14", "--prices", "--confirm", answers=[]).code == 2


def test_what_is_expected_is_sent_and_shares_are_kept_in_one_word(client: Client) -> None:
    told = client.shows(
        "bucket-list", "2027-08-09", "--expected", body={"queued": ["anna", "bram"], "no_address": ["cora"]}
    )
    assert (told.asked, told.sent) == ("POST /v1/bucket-lists/2027-08-09/expected", {})
    assert "Told: anna, bram." in told.out and "No address: cora." in told.out

    body = {"from": "2027-08-09", "to": "2027-08-15", "confirmed": False, "customers": []}
    kept = client.shows("bucket-list", "2027-08-09", "--share", "--evenly", "lagurus", body=body)
    assert (kept.asked, kept.sent) == ("POST /v1/bucket-lists/2027-08-09/shares", {"evenly": ["lagurus"]})

"""The client's program against a live service: each command's table, its JSON and its exit code."""

import json
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from haulm.jobs.gaps.follow_gaps import work_out_gaps
from haulm.rest.app import create_app
from haulm_cli.exit_codes import ExitCode
from haulm_cli.program import main
from support.desks import desk_over, sqlite_store
from support.florist_farm import CASES, FRIDAY, SUNDAY, florist_farm
from support.known_farm import PARTY, growing_farm, known_farm
from support.live_service import live_service


@dataclass(frozen=True)
class LiveClient:
    """Runs `haulm` against an address and reads what it printed."""

    address: str
    printed: pytest.CaptureFixture[str]

    def run(self, *words: str) -> tuple[int, str, str]:
        """Exit code, what was printed, what was complained."""
        code = main([*words, "--url", self.address])
        out, err = self.printed.readouterr()
        return code, out, err

    def table(self, *words: str) -> list[str]:
        """The printed lines, blanks made one; the command must be done."""
        code, out, err = self.run(*words)
        assert (code, err) == (ExitCode.DONE, "")
        return [" ".join(line.split()) for line in out.splitlines()]

    def json(self, *words: str) -> Any:
        """The printed JSON; the command must be done."""
        code, out, err = self.run(*words, "--json")
        assert (code, err) == (ExitCode.DONE, "")
        return json.loads(out)


def served(files: dict[str, bytes], folder: Path, printed: pytest.CaptureFixture[str]) -> Iterator[LiveClient]:
    """A client of a live service over a farm."""
    store = sqlite_store(folder)
    desk = desk_over(store, files)
    assert work_out_gaps(desk)
    with live_service(create_app(desk)) as address:
        yield LiveClient(address, printed)
    store.close()


@pytest.fixture
def known(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Iterator[LiveClient]:
    """The client of the farm of known stems with Bram's orders."""
    monkeypatch.setenv("COLUMNS", "140")
    yield from served(known_farm(**PARTY), tmp_path, capsys)


@pytest.fixture
def growing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Iterator[LiveClient]:
    """The client of the farm that grows too little."""
    monkeypatch.setenv("COLUMNS", "140")
    yield from served(growing_farm(), tmp_path, capsys)


@pytest.fixture
def florist(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[[int, int], LiveClient]]:
    """Opens the client of a florist's farm of so many stems and so much spare."""
    monkeypatch.setenv("COLUMNS", "140")
    with ExitStack() as stack:
        opened = contextmanager(served)
        yield lambda stems, spare: stack.enter_context(opened(florist_farm(stems, spare), tmp_path, capsys))


def test_health_and_availability(known: LiveClient) -> None:
    assert known.table("health") == ["The service answers. It says: ok."]

    words = ("availability", "--from", "2027-W24", "--weeks", "2", "--weekday", "fri")
    assert "lagurus 10 15" in known.table(*words)
    free = {(row["product"], row["week"]): row["free_to_promise"] for row in known.json(*words)["rows"]}
    assert free["lagurus", "2027-W24"] == 10 and free["lagurus:dried", None] == 120


def test_match_shows_who_gets_which_stems(known: LiveClient) -> None:
    words = ("match", "--from", "2027-06-18", "--to", "2027-06-18", "--season", "expected")

    assert any("party-1 lagurus 20 20 100 %" in line for line in known.table(*words))
    assert known.json(*words)["lines"][0]["filled"] == 20


def test_a_wedding_is_quoted_held_contracted_and_released(known: LiveClient) -> None:
    quote = known.json("quote", "--date", "2027-06-20", "--line", "lagurus=10")["id"]
    words = ("match", "--from", "2027-06-01", "--to", "2027-07-09")
    assert not any(quote in line for line in known.table(*words))

    assert known.table("hold", quote, "--until", "2027-06-18")[0] == f"Quote {quote} is on hold until 2027-06-18."
    assert known.table("contract", quote)[-1] == "All lines together: 100 % sure"
    assert known.json("release", quote) == {"id": quote, "status": "cancelled"}


def test_a_kind_is_decided_about_and_the_quote_that_asked_is_answered_anew(known: LiveClient) -> None:
    words = ("quote", "--date", "2027-06-20", "--piece", "buttonhole=1", "--home", "cats")
    quote = known.json(*words)["id"]
    said = known.table("decide", "lagurus", "--worn", "--use-it", "--quote", quote)
    assert said[0] == "Kept; quotes follow it from now on."
    assert said[1].startswith(f"Quote {quote} answered anew, all lines together ")
    assert "Bunny tail in what is worn or held: used all the same." in said
    assert known.table("decide")[-1].startswith("lagurus use it worn")
    assert any(line.startswith("Decided: Bunny tail") for line in known.table(*words))

    out = known.table("decide", "lagurus", "--worn", "--keep-out", "--quote", quote)
    assert out[1].startswith("The quote stays as it was: Nothing asked for can be in season")
    assert known.run("decide", "lagurus", "--worn")[0] == ExitCode.REFUSED
    assert known.table("decide", "lagurus", "--worn", "--ask-me") == ["Taken back; quotes ask about it again."]


def test_a_quote_is_shown_with_its_stems_and_price(known: LiveClient) -> None:
    lines = known.table("quote", "--date", "2027-06-20", "--piece", "buttonhole=4", "--customer", "anna")

    assert lines[0].endswith("for 2027-06-20, stems due 2027-06-18, customer anna")
    assert any("buttonhole" in line for line in lines)


def test_a_refusal_says_who_would_fall_and_ends_with_one(known: LiveClient) -> None:
    quote = known.json("quote", "--date", "2027-06-20", "--line", "lagurus=30")["id"]

    code, out, err = known.run("contract", quote)
    assert (code, out) == (ExitCode.REFUSED, "")
    assert "from 100 % to 0 %" in err and "party-1" in err and "bram" in err and "15 could be promised" in err
    assert "add --override --reason" in err
    lines = err.splitlines()
    assert "- 15 could be promised." in lines and "Nothing that can still be sown would close it." in lines

    code, out, err = known.run("contract", quote, "--json")
    assert (code, json.loads(out)["falls"][0]["line"]) == (ExitCode.REFUSED, "party-1")
    assert known.run("contract", quote, "--override", "--reason", "They come every year.")[0] == ExitCode.DONE
    assert known.run("release", "no-such-quote")[0] == ExitCode.REFUSED


@pytest.mark.parametrize(("stems", "spare"), CASES)
def test_a_wedding_has_what_is_free_and_none_of_what_a_florist_was_promised(
    florist: Callable[[int, int], LiveClient], stems: int, spare: int
) -> None:
    client, free = florist(stems, spare), stems - 20
    ask = ("may-promise", "lagurus", "--due", FRIDAY, "--kind", "wedding")
    assert client.json(*ask)["stems"] == free
    wedding = client.json("quote", "--date", SUNDAY, "--line", "lagurus=20")["id"]

    code, out, err = client.run("contract", wedding)
    assert (code, out) == (ExitCode.REFUSED, "")
    assert "studio-1" in err and "from 100 % to 0 %, below the 90 % it keeps" in " ".join(err.split())
    assert (f"{free} could be promised" if free else "Not one stem could be promised") in " ".join(err.split())

    small = client.json("quote", "--date", SUNDAY, "--line", f"lagurus={free or 1}")["id"]
    assert client.run("contract", small)[0] == (ExitCode.DONE if free else ExitCode.REFUSED)


def test_a_bucket_list_is_shown_and_confirmed_once(known: LiveClient) -> None:
    assert "expected, or settled in part" in known.table("bucket-list", "2027-06-14")[0]
    uncut = ("--no-cut", "anna-weekly@2027-06-15")
    (line, *_) = known.json("bucket-list", "2027-06-14", "--confirm", *uncut)["customers"][0]["lines"]
    assert (line["line"], line["state"]) == ("anna-1", "settled")

    code, _, err = known.run("bucket-list", "2027-06-14", "--confirm", *uncut)
    assert code == ExitCode.REFUSED and "is confirmed" in err


def test_a_gap_is_named_with_its_options_and_a_batch_closes_it(growing: LiveClient) -> None:
    (gap,) = growing.json("shortfalls")["gaps"]
    assert any(gap["gap"] in line for line in growing.table("shortfalls"))

    options = growing.json("options", gap["gap"])["options"]
    assert any(options[0]["act_by"] in line for line in growing.table("options", gap["gap"]))

    sowings = [option["batch"] for option in options if option["closes"] and option["batch"]]
    batch = next(sowing for sowing in sowings if sowing["sow_date"])
    # By another key the same batch draws other seasons, so three times as many are sown to be safe.
    words = ("--sow", batch["sow_date"], "--method", batch["method"], "--sown", str(batch["sown"] * 3))
    assert growing.table("batch", batch["variety"], *words)[0].startswith("Batch b")
    assert growing.json("shortfalls")["gaps"] == []


def test_a_record_is_written_down(growing: LiveClient) -> None:
    assert growing.table("record", "sown", "--batch", "first", "--count", "15")[0].startswith(
        "Recorded on 2027-06-14: sown"
    )
    assert growing.json("record", "frost", "--date", "2027-06-13")["kind"] == "frost"

    code, _, err = growing.run("record", "cut", "--batch", "first")
    assert code == ExitCode.REFUSED and "a record of kind cut needs one" in err


def test_the_digest_is_the_letter(growing: LiveClient) -> None:
    letter = growing.json("digest")["text"]

    assert growing.table("digest") == [" ".join(line.split()) for line in letter.splitlines()]


def test_nobody_at_the_address_ends_with_three(known: LiveClient, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["health", "--url", "http://127.0.0.1:1"]) == ExitCode.NO_SERVICE
    assert "No Haulm service answers" in capsys.readouterr().err

"""The rehearsal as whoever tries the program first meets it: weeks go by, mails are files, nothing really leaves."""

import email
import email.policy
import re
from collections import Counter
from email.message import EmailMessage
from html import unescape
from pathlib import Path

import pytest

from haulm.store.store import Store
from haulm.store.words import Account
from support import scale
from support.ledger_laws import broken_laws
from support.service_program import Program, ProgramHere, ProgramOfFewSeasons, Said

WEEKS = scale.count(usual=1, large=8)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the rehearsal is."""
    return tmp_path_factory.mktemp("rehearsal") / "weeks"


@pytest.fixture(scope="module")
def rehearsed(folder: Path) -> Said:
    """The weeks, lived through once; one week with few seasons where it is not the long run."""
    program = Program(folder.parent) if scale.is_large() else ProgramOfFewSeasons(folder.parent)
    return program.done("rehearse", folder, "--weeks", WEEKS, patience_s=WEEKS * 250)


def test_the_weeks_go_by_with_lists_answers_counts_cuts_and_a_sowing_that_closes_a_gap(rehearsed: Said) -> None:
    said = rehearsed.out

    assert re.search(r"(Sow|Plant) .* It was put into the plan, and it is closed\.", said)
    last = re.findall(
        r"(\d+) lists sent, (\d+) answers, (\d+) counts, (\d+) stems cut, (\d+) deliveries settled", said
    )[-1]
    sent, answers, counts, cut, settled = map(int, last)
    assert min(sent, answers, counts) > 0
    if WEEKS > 1:
        assert min(cut, settled) > 0 and "a frost in the night, written down for the whole farm" in said
    assert f"The ledger balanced on {7 * WEEKS} evenings." in said


def test_each_mail_is_a_file_to_read_and_no_other_left(rehearsed: Said, folder: Path) -> None:
    assert rehearsed.exit_code == 0
    mails = [
        email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
        for path in sorted((folder / "mails").glob("*.eml"))
    ]
    kinds = Counter("digest" if "field@" in str(mail["To"]) else "customer" for mail in mails)

    assert kinds["digest"] >= WEEKS and kinds["customer"] >= WEEKS
    assert len({mail["Message-ID"] for mail in mails}) == len(mails)
    for mail in mails:
        parts = {part.get_content_type(): part.get_content() for part in mail.walk() if not part.is_multipart()}
        assert {"text/plain", "text/html"} <= parts.keys()
        assert parts["text/plain"].strip() and mail["Subject"]


def test_no_early_warning_has_a_key_or_a_date_for_machines_in_it(rehearsed: Said, folder: Path) -> None:
    assert rehearsed.exit_code == 0
    store = Store.open(f"sqlite:///{folder / 'farm.db'}")
    farm = store.farm()
    store.close()
    keys = {one.key for one in (*farm.batches, *farm.orders, *farm.standing_orders, *farm.beds)}
    assert len(keys) > 20
    for mail in early_warnings(folder):
        html = unescape(re.sub(r"<style.*?</style>|<[^>]+>", " ", part_of(mail, "html"), flags=re.DOTALL))
        for said in (re.sub(r"http\S+", "", part_of(mail, "plain")), html):
            assert not re.search(r"\d{4}-\d{2}-\d{2}|\d{4}-W\d{2}|\((cover|direct|heated|plugs|tuber)\)", said)
            assert not keys & set(re.findall(r"[\w.-]+[\w]", said))


def test_what_early_warnings_say_is_narrow_and_little(rehearsed: Said, folder: Path) -> None:
    assert rehearsed.exit_code == 0
    found = early_warnings(folder)
    assert found
    for mail in found:
        lines = part_of(mail, "plain").splitlines()
        assert max(len(line) for line in lines if "http" not in line) <= 76
        assert len([line for line in lines if line]) < 40


def early_warnings(folder: Path) -> list[EmailMessage]:
    """The mails to the farm itself."""
    paths = sorted((folder / "mails").glob("*.eml"))
    mails = [email.message_from_bytes(path.read_bytes(), policy=email.policy.default) for path in paths]
    return [mail for mail in mails if "field@" in str(mail["To"])]


def part_of(mail: EmailMessage, kind: str) -> str:
    """The text or the HTML of a mail."""
    found = mail.get_body((kind,))
    assert found is not None
    return str(found.get_content())


def test_the_books_are_what_the_entries_say(rehearsed: Said, folder: Path) -> None:
    assert rehearsed.exit_code == 0
    store = Store.open(f"sqlite:///{folder / 'farm.db'}")
    try:
        balances = store.stem_balances()
        assert broken_laws(store) == []
        if WEEKS > 1:
            assert sum(stems for pile, stems in balances.items() if pile.account is Account.DELIVERED) > 0
        assert {letter.state for letter in store.outbox.posted(2000)} == {"sent"}
    finally:
        store.close()


def test_a_folder_with_something_in_it_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "note.txt").write_text("keep")

    assert "accepted is a new folder" in ProgramHere(tmp_path).refusal("rehearse", tmp_path / "mine")
    assert [path.name for path in (tmp_path / "mine").iterdir()] == ["note.txt"]

"""The journal as it is read: every kind in words, what was changed from what to what, what taking back costs."""

import pytest

from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row, change_row
from haulm.jobs.journal.kinds import KINDS, kind_in_words
from haulm.jobs.journal.read_journal import JournalAsked, read_entry, read_journal
from haulm.jobs.promises.end_quote import release_quote
from haulm.jobs.promises.hold_quote import contract_quote
from support.desks import done


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_said_in_words(kind: str) -> None:
    assert "-" not in kind_in_words(kind) and kind_in_words(kind)[0].isupper()


def test_a_change_tells_names_days_and_money_and_never_a_key(party_desk: Desk) -> None:
    desk = party_desk
    price = RowAsked("varieties", {"price_minor": 525, "colour": "cream"})
    done(desk, lambda work: change_row(desk, work, "lagurus", price, expected=None))
    skipped = RowAsked("changes", {"key": "c1", "order": "anna-weekly", "week": "2027-W25", "stems": 0})
    done(desk, lambda work: add_row(desk, work, skipped))

    newest, before, *_rest = read_journal(desk, JournalAsked()).lines
    assert before.told.rows == ("Kind Bunny tail: price €4.50 → €5.25",)
    assert newest.told.about == "Change of Studio Anna Verhoeven"
    assert newest.told.rows == ("Change of Studio Anna Verhoeven: added (week 25)",)


def test_taking_a_contract_back_says_whose_stems_are_promised_no_more(party_desk: Desk) -> None:
    desk = party_desk
    asked = RowAsked("orders", {"key": "w", "customer": "bram", "kind": "one_off", "due_date": "2027-06-17"})
    line = RowAsked("order_lines", {"key": "w-1", "order": "w", "product": "nigella", "stems": 12})
    for row in (asked, line):
        done(desk, lambda work, row=row: add_row(desk, work, row))
    done(desk, lambda work: contract_quote(desk, work, "w"))
    (contract,) = read_journal(desk, JournalAsked(most=1)).lines
    done(desk, lambda work: release_quote(desk, work, "w"))

    assert contract.costs == ("12 stems for Bram's corner are promised no more.",)
    assert contract.may and not read_entry(desk, contract.seq).may
    assert read_entry(desk, contract.seq).why_not.startswith("First take back: Stems let go")


def test_what_the_service_noted_for_itself_is_told_only_where_it_is_asked_for(desk: Desk) -> None:
    done(desk, lambda work: work.enter("forecast-kept", "weeks/2027-W24", {}))

    assert [line.kind for line in read_journal(desk, JournalAsked()).lines] == ["farm-imported"]
    whole = read_journal(desk, JournalAsked(whole=True)).lines
    assert [line.kind for line in whole] == ["forecast-kept", "farm-imported"]
    assert "nothing to take back" in whole[0].why_not

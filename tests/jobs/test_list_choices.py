"""What the grower decides of a list, and what comes after it: shares, corrections, the round, claims, the year."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from haulm.errors import NotAccepted, NotFound
from haulm.farm.products import Product
from haulm.farm.words import Form
from haulm.jobs.bucket_day.after_the_list import claims
from haulm.jobs.bucket_day.bucket_lines import BucketLine, Choices
from haulm.jobs.bucket_day.confirmed_lists import confirmed_bucket_list, settled_of
from haulm.jobs.bucket_day.draft_bucket_list import draft_bucket_list
from haulm.jobs.bucket_day.fill_rate import fill_rate
from haulm.jobs.bucket_day.reasons import Reason
from haulm.jobs.bucket_day.refusals import ListConfirmed, ShortTwice
from haulm.jobs.bucket_day.season_end import season_end
from haulm.jobs.bucket_day.share_list_evenly import Sharing, shared_evenly
from haulm.jobs.desk.desk import Desk
from haulm.jobs.field.cool_store import cool_store
from haulm.jobs.field.record_cut import cuts_of
from haulm.matching.reading.which_stems import Source
from haulm.matching.supply import Lot
from haulm.planning.keeping import crops_of
from haulm.store.words import Account, PromiseState
from support.bucket_days import NEXT_MONDAY, BucketDay, bucket_farm
from support.desks import MONDAY, on
from support.known_farm import known_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]

EVENLY = Choices(evenly=frozenset({"lagurus"}))


@pytest.fixture
def day(open_desk: OpenDesk) -> BucketDay:
    """Monday 14 June: 90 stand for the 60, 40 and 20 of anna, bram and cora."""
    opened = BucketDay(open_desk(bucket_farm()))
    opened.walk(lagurus=90)
    return opened


def filled(day: BucketDay, choices: Choices, monday: date = MONDAY) -> dict[str, int]:
    """Stems by customer."""
    return {found.line.customer: found.filled for found in draft_bucket_list(day.desk, monday, choices).lines}


def test_precedence_decides_unless_the_grower_says_evenly(day: BucketDay) -> None:
    assert filled(day, Choices()) == {"anna": 60, "bram": 30, "cora": 0}
    # In proportion 45, 30 and 15; in bunches 40, 30 and 10, and one bunch that is left.
    assert filled(day, EVENLY) == {"anna": 50, "bram": 30, "cora": 10}


def test_an_even_share_shows_its_working(day: BucketDay) -> None:
    shares = [found.share for found in draft_bucket_list(day.desk, MONDAY, EVENLY).lines]

    assert [(share.exact, share.stems, share.extra_bunches) for share in shares if share] == [
        (45.0, 50, 1),
        (30.0, 30, 0),
        (15.0, 10, 0),
    ]


def test_an_even_share_sends_no_stem_twice(day: BucketDay) -> None:
    day.cut(90, left=0)
    day.confirm(choices=EVENLY)

    assert day.held(Account.PACKED) == 90 == -day.held(Account.FIELD)


def test_a_line_that_is_filled_with_a_stand_in_takes_no_share_of_its_own_kind(open_desk: OpenDesk) -> None:
    lines = "key,order,stems,product,substitutes\nanna-1,anna-weekly,60,lagurus,lagurus:dried\n"
    lines += "bram-1,bram-weekly,40,lagurus,"
    stems = "key,product,ready_date,stems\nattic,lagurus:dried,2026-09-01,25"
    day = BucketDay(open_desk(bucket_farm(asked=(60, 40), standing_lines=lines, known_stems=stems)))
    day.walk(lagurus=30)
    only = Choices(evenly=EVENLY.evenly, kinds={("anna-1", date(2027, 6, 15)): Product("lagurus", Form.DRIED)})

    assert filled(day, EVENLY) == {"anna": 45, "bram": 10}
    decided = filled(day, only)
    assert decided["anna"] == 25 and decided["bram"] > 20


def test_what_does_not_run_short_is_not_shared(day: BucketDay) -> None:
    day.walk(lagurus=200)

    found = draft_bucket_list(day.desk, MONDAY, EVENLY)
    assert [bucket.share for bucket in found.lines] == [None, None, None]


def test_nobody_is_short_twice_running_without_a_yes_by_name(day: BucketDay) -> None:
    day.cut(90, left=0)
    day.confirm()
    on(day.desk, NEXT_MONDAY)
    day.cut(90, left=0)

    with pytest.raises(ShortTwice) as refused:
        day.confirm(NEXT_MONDAY, Choices(acknowledged=frozenset({"bram"})))
    assert refused.value.facts["customers"] == ["cora"]
    assert confirmed_bucket_list(day.desk, NEXT_MONDAY) is None

    day.confirm(NEXT_MONDAY, Choices(acknowledged=frozenset({"bram", "cora"})))
    assert confirmed_bucket_list(day.desk, NEXT_MONDAY) is not None


def test_a_list_that_was_corrected_downwards_was_short(day: BucketDay) -> None:
    day.cut(120, left=0, more=True)
    day.confirm()
    day.correct("anna-1", 50, reason=Reason.THROWN)
    on(day.desk, NEXT_MONDAY)
    day.cut(120, left=0)

    with pytest.raises(ShortTwice) as refused:
        day.confirm(NEXT_MONDAY, Choices(trimmed={("anna-1", date(2027, 6, 22)): 10}))
    assert refused.value.facts["customers"] == ["anna"]


def test_a_list_is_settled_once(day: BucketDay) -> None:
    day.cut(90, left=0)
    day.confirm()
    balances = day.desk.store.stem_balances()

    with pytest.raises(ListConfirmed):
        day.confirm()
    assert day.desk.store.stem_balances() == balances


def test_a_correction_is_an_entry_beside_the_list(day: BucketDay) -> None:
    day.cut(90, left=0)
    day.confirm()
    day.correct("anna-1", 45)

    assert (day.held(Account.PACKED), day.held(Account.STORE), day.held(Account.FIELD)) == (75, 15, -90)
    last = day.desk.store.promises(line="anna-1")[-1]
    assert (last.state, last.stems) == (PromiseState.SETTLED, 45)
    (entry,) = day.desk.store.entries_of("bucket-list-corrected")
    assert entry.corrects == day.desk.store.entries_of("bucket-list-confirmed")[0].seq


@pytest.mark.parametrize(
    ("reason", "accounts", "cut"),
    [
        # Packed, in the store, thrown away, taken from the field; and what the record of the cut says then.
        (Reason.BACK_IN_STORE, (75, 15, 0, -90), 90),
        (Reason.THROWN, (75, 0, 15, -90), 90),
        (Reason.NEVER_CUT, (75, 0, 0, -75), 75),
    ],
)
def test_why_a_line_gets_fewer_says_where_its_stems_are(
    day: BucketDay, reason: Reason, accounts: tuple[int, ...], cut: int
) -> None:
    pile = day.cut(90, left=10, more=True)
    day.confirm()
    day.correct("anna-1", 45, reason=reason)

    where = (Account.PACKED, Account.STORE, Account.WASTE, Account.FIELD)
    assert tuple(day.held(account) for account in where) == accounts
    (record,) = [one for one in cuts_of(day.desk.store.farm()) if one.key == pile or one.corrects == pile]
    # What was never cut is what stands besides.
    assert (record.count, record.left) == (cut, 10 + 90 - cut)


def test_a_line_gets_more_from_the_store_until_the_van_leaves(day: BucketDay) -> None:
    day.cut(50, left=40)
    day.confirm()
    assert confirmed(day) == {"anna-1": 50, "bram-1": 0, "cora-1": 0}
    day.cut(40, left=0, more=True)

    day.correct("anna-1", 60, reason="cut after all")
    with pytest.raises(NotAccepted, match="30 more, what the store has"):
        day.correct("bram-1", 31, reason="more")
    day.correct("bram-1", 30, reason="more")
    assert confirmed(day) == {"anna-1": 60, "bram-1": 30, "cora-1": 0}
    assert (day.held(Account.PACKED), day.held(Account.STORE)) == (90, 0)


def test_a_settled_list_is_taken_back_whole_or_by_delivery_while_nothing_has_left(day: BucketDay) -> None:
    day.cut(90, left=0)
    day.confirm()
    assert day.take_back(order="bram-weekly") == 30
    assert confirmed(day) == {"anna-1": 60, "cora-1": 0}
    assert filled(day, Choices()) == {"bram": 30}

    day.deliver()
    with pytest.raises(NotAccepted, match="of which stems have left"):
        day.take_back()
    with pytest.raises(NotFound):
        day.take_back(NEXT_MONDAY)


def confirmed(day: BucketDay) -> dict[str, int]:
    """Stems of the settled lines of Monday's list."""
    return {line["line"]: line["filled"] for one in settled_of(day.desk, MONDAY) for line in one.lines}


@pytest.mark.parametrize(("line", "stems", "reason"), [("anna-1", 60, "x"), ("anna-1", -1, "x"), ("anna-1", 5, " ")])
def test_a_correction_is_to_another_number_and_has_a_reason(day: BucketDay, line: str, stems: int, reason: str) -> None:
    day.cut(90, left=0)
    day.confirm()

    with pytest.raises(NotAccepted):
        day.correct(line, stems, reason=reason)
    assert day.held(Account.PACKED) == 90


def test_there_must_be_a_list_with_the_line_to_correct_deliver_or_claim(day: BucketDay) -> None:
    with pytest.raises(NotFound):
        day.correct("anna-1", 5)
    with pytest.raises(NotFound):
        day.deliver()
    with pytest.raises(NotFound):
        day.claim("anna-1", 5)
    day.cut(90, left=0)
    day.confirm()
    with pytest.raises(NotFound):
        day.correct("dora-1", 5)
    with pytest.raises(NotFound):
        day.claim("dora-1", 5)


def test_the_round_delivers_what_is_packed_once_and_closes_the_list(day: BucketDay) -> None:
    day.cut(90, left=0)
    day.confirm()
    day.correct("anna-1", 50)

    assert day.deliver() == 80
    assert (day.held(Account.PACKED), day.held(Account.DELIVERED), day.held(Account.STORE)) == (0, 80, 10)
    with pytest.raises(NotAccepted, match="was delivered"):
        day.deliver()
    with pytest.raises(NotAccepted, match="was delivered"):
        day.correct("anna-1", 40)
    assert day.held(Account.DELIVERED) == 80


def test_a_claim_leads_back_to_the_batch_that_was_cut(open_desk: OpenDesk) -> None:
    day = BucketDay(open_desk(bucket_farm(asked=(60,))))
    day.cut(60, batch="newer", left=0)
    day.confirm()
    day.deliver()
    day.claim("anna-1", 15, credit=450, reason="heads bruised")

    (claim,) = claims(day.desk)
    assert (claim.customer, claim.stems, claim.credit_minor, claim.batches) == ("anna", 15, 450, ("newer",))


def test_a_claim_on_stems_that_an_earlier_release_packed_uncut_leads_back_too(open_desk: OpenDesk) -> None:
    day = BucketDay(open_desk(bucket_farm(asked=(60,))))
    day.walk(lagurus=60)
    day.confirm_as_before({"anna-1": 60})
    day.cut(60, batch="newer", left=0)
    day.claim("anna-1", 15)

    assert claims(day.desk)[0].batches == ("newer",)


@pytest.mark.parametrize(("stems", "credit", "reason"), [(0, 0, "x"), (61, 0, "x"), (5, -1, "x"), (5, 0, "")])
def test_a_claim_is_of_stems_that_were_sent(day: BucketDay, stems: int, credit: int, reason: str) -> None:
    day.cut(90, left=0)
    day.confirm()

    with pytest.raises(NotAccepted):
        day.claim("anna-1", stems, credit=credit, reason=reason)
    assert claims(day.desk) == ()


def test_several_claims_on_a_line_are_of_no_more_than_was_sent(day: BucketDay) -> None:
    day.cut(90, left=0)
    day.confirm()
    day.claim("anna-1", 40)
    with pytest.raises(NotAccepted, match="1 to 20, what was sent, besides 40 claimed before"):
        day.claim("anna-1", 21)
    day.claim("anna-1", 20)
    with pytest.raises(NotAccepted, match="all of it is claimed"):
        day.claim("anna-1", 1)

    assert sum(claim.stems for claim in claims(day.desk)) == 60


def test_the_fill_rate_counts_what_was_sent_in_the_end(day: BucketDay) -> None:
    day.cut(90, left=0)
    day.confirm()
    day.correct("anna-1", 45)

    assert [(one.customer, one.day, one.asked, one.sent, one.instead) for one in fill_rate(day.desk)] == [
        ("anna", MONDAY, 60, 45, 0),
        ("bram", MONDAY, 40, 30, 0),
        ("cora", MONDAY, 20, 0, 0),
    ]
    assert [one.share for one in fill_rate(day.desk, "anna")] == [0.75]


def test_the_year_adds_up_by_batch_and_by_customer(open_desk: OpenDesk) -> None:
    day = BucketDay(open_desk(bucket_farm(asked=(60,))))
    pile = day.cut(80, batch="older", left=0)
    day.confirm()
    day.deliver()
    day.move(pile, Account.STALL, 5)
    day.move(pile, Account.WASTE, 15)

    season = season_end(day.desk, 2027)
    (batch,) = season.batches
    assert (batch.batch, batch.cut, batch.sold, batch.wasted) == ("older", 80, 65, 15)
    assert batch.sold_share == 65 / 80
    assert [(one.customer, one.asked, one.sent) for one in season.customers] == [("anna", 60, 60)]
    assert season_end(day.desk, 2026).batches == ()


def test_stems_taken_back_from_a_list_are_not_sold(day: BucketDay) -> None:
    day.cut(90, batch="older", left=0)
    day.confirm()
    day.correct("anna-1", 40)
    day.deliver()

    (batch,) = season_end(day.desk, 2027).batches
    assert (day.held(Account.DELIVERED), day.held(Account.STORE)) == (70, 20)
    assert (batch.cut, batch.sold) == (90, 70)
    assert sum(stored.stems for stored in cool_store(day.desk)) == 20


def test_an_even_share_never_makes_a_line_more_than_it_asked(open_desk: OpenDesk) -> None:
    orders = """
        key,customer,kind,due_date,committed_on,status
        one,anna,one_off,2027-06-18,2027-06-01,contracted
        two,bram,one_off,2027-06-18,2027-06-02,contracted
        """
    lines = """
        key,order,stems,product,substitutes
        one-1,one,50,lagurus,
        two-1,two,50,lagurus,nigella
        """
    desk = open_desk(known_farm(orders=orders, order_lines=lines))
    dated = {line.line: line for line in desk.plan().careful.result.lines if line.line in ("one-1", "two-1")}
    lagurus, nigella = Product("lagurus"), Product("nigella")
    of_k1, of_k3 = Lot(MONDAY, key="k1"), Lot(MONDAY, key="k3")
    drafted = [
        BucketLine(dated["one-1"], 40, 4, 0, (Source(lagurus, 0, of_k1, 40),), None),
        BucketLine(dated["two-1"], 50, 5, 0, (Source(lagurus, 0, of_k1, 10), Source(nigella, 0, of_k3, 40)), None),
    ]
    crops = crops_of(desk.store.farm())

    generous = {"one-1": (Source(lagurus, 0, of_k1, 20),), "two-1": (Source(lagurus, 0, of_k1, 50),)}
    sharing = Sharing(frozenset({"lagurus"}), frozenset(), crops, lambda line: generous[line.line], {})

    shared = shared_evenly(drafted, sharing)

    # 50 stems for 50 and 50: 25 each, in bunches 20 and 20, and one bunch by turn; nigella fills up to 50, not beyond.
    assert sorted(bucket.share.stems for bucket in shared if bucket.share) == [20, 30]
    assert all(bucket.filled <= bucket.line.stems for bucket in shared)
    # 70 in a generous season for 50 and 50: in bunches 30 and 30, and one bunch by turn; never less than is theirs.
    assert sorted(bucket.up_to for bucket in shared) == [40, 50]
    assert all(bucket.filled == bucket.yours <= bucket.up_to <= bucket.line.stems for bucket in shared)


def test_a_share_that_was_told_stays_theirs_while_there_is_so_much_of_it(open_desk: OpenDesk) -> None:
    desk = open_desk(known_farm())
    lagurus, crops = Product("lagurus"), crops_of(desk.store.farm())
    line = next(one for one in desk.plan().careful.result.lines if one.line == "anna-1")
    lines = [replace(line, line=name, stems=30, customer=name) for name in ("one", "two", "three")]
    drafted = [
        BucketLine(one, there, 0, 0, (Source(lagurus, 0, Lot(MONDAY, key="k1"), there),), None)
        for one, there in zip(lines, (30, 20, 10), strict=True)
    ]
    told = {("three", line.due): 30}
    sharing = Sharing(frozenset({"lagurus"}), frozenset(), crops, lambda _: (), told)

    # 20 each by the share alone; of what was told to the third ten are there for it, so it keeps no more than its 20.
    assert [one.filled for one in shared_evenly(drafted, sharing)] == [20, 20, 20]
    drafted[2] = replace(drafted[2], filled=30, sources=(Source(lagurus, 0, Lot(MONDAY, key="k1"), 30),))
    drafted[0] = replace(drafted[0], filled=0, sources=())
    assert [one.filled for one in shared_evenly(drafted[:3], sharing)] == [10, 10, 30]

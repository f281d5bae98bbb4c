"""Three weeks of letters over a real mail server, read in order as a florist and a couple get them.

At most one letter a bucket day says what is expected, one a delivery what is settled, and another only when it is
fewer; the figures are those of the bucket list, of her page and of REST.
"""

from __future__ import annotations

import email
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from email.policy import default

import pytest

from haulm.errors import NotAccepted, NotFound
from haulm.jobs.bucket_day.correct_list import Correction, correct_list
from haulm.jobs.bucket_day.follow_week import follow_week, to_ring
from haulm.jobs.bucket_day.reasons import Reason
from haulm.jobs.bucket_day.tell_expected import ExpectedTold, tell_expected
from haulm.jobs.desk.desk import Desk
from haulm.jobs.florists.florist_links import link_number
from haulm.jobs.florists.judge_reply import Word, judge_reply
from haulm.jobs.florists.reply_to_list import AskKind, FloristAsk, open_replies, reply_to_list
from haulm.mail.carrier import Smtp
from haulm.mail.post import PostOffice, post_once
from haulm.web.links import Holder, Links
from support.bucket_days import BucketDay
from support.desks import MONDAY, on
from support.door import SECRET, Door
from support.mail_server import MailServer, mail_server
from support.told_farm import told_farm

THURSDAY, FRIDAY = MONDAY + timedelta(days=3), MONDAY + timedelta(days=4)
WEEK = timedelta(days=7)
SITE = "https://stems.example"
URL = "smtp://farm:a%20password%20of%20the%20tests@{host}:{port}"


@dataclass
class Weeks:
    """The farm, its mail server, and what each customer has read so far."""

    day: BucketDay
    server: MailServer

    @property
    def desk(self) -> Desk:
        """The farm's desk."""
        return self.day.desk

    def tell(self, monday: date, evenly: frozenset[str] | None = None) -> ExpectedTold:
        """What is expected goes to everybody on the list."""
        on(self.desk, monday)
        found: ExpectedTold = self.day.done(lambda work: tell_expected(self.desk, work, monday, evenly))
        return found

    def thursday(self, monday: date, **cut: tuple[int, int, int]) -> None:
        """A Thursday's walk and cut: of each batch so many stand, are cut and are left; then all is settled."""
        on(self.desk, monday + timedelta(days=3))
        self.day.walk(**{_KINDS[batch]: standing for batch, (standing, _, _) in cut.items()})
        for batch, (_, stems, left) in cut.items():
            self.day.cut(stems, batch=batch, left=left)
        self.day.confirm(monday)

    def correct(self, monday: date, stems: int, reason: str) -> None:
        """The florist's line of a Friday gets another number of stems."""
        said = Correction("anna-1", monday + timedelta(days=4), stems, reason)
        self.day.done(lambda work: correct_list(self.desk, work, monday, said))

    def letters(self, address: str = "anna@verhoeven.example") -> list[str]:
        """What one customer has got so far, as text, oldest first; each also says in HTML what it says in text."""
        way = Smtp(URL.format(host="127.0.0.1", port=self.server.port), trust=self.server.trust, patience_s=5)
        links = Links(SECRET, self.desk.now)
        post_once(self.desk, PostOffice("Field <farm@stems.example>", "farm@stems.example", way, links, SITE))
        messages = [email.message_from_bytes(content, policy=default) for content in self.server.got]
        mine = [one for one in messages if address in one["to"]]
        for one in mine:
            html = one.get_body(("html",)).get_content()
            assert "Good day" in html and (f"{SITE}/f/" in html or "your answer" in one["subject"])
        return [one.get_body(("plain",)).get_content() for one in mine]

    def shown(self, customer: str = "anna") -> tuple[str, list[tuple[str, int, int, str]]]:
        """Her page as text, and her lines of this week by REST; their figures are those of the bucket list."""
        links = Links(SECRET, self.desk.now)
        path = links.florist_path(Holder(customer, link_number(self.desk, customer)))
        with Door(self.desk) as door:
            page = door.ask("GET", path).text
            rest = door.get(path.replace("/f/", "/v1/florist/"))["deliveries"]
            monday = self.desk.today() - timedelta(days=self.desk.today().weekday())
            listed = door.get(f"/v1/bucket-lists/{monday}")["customers"]
        lines = [line for one in rest for line in one["lines"]]
        own = {line["line"]: line for found in listed if found["customer"] == customer for line in found["lines"]}
        assert {one["line"]: (one["yours"], one["up_to"]) for one in lines} == {
            key: (line["yours"], line["up_to"]) for key, line in own.items()
        }
        for line in lines:
            assert line["words"] in page
        return page, [(line["asked"], line["yours"], line["up_to"], line["words"]) for line in lines]


_KINDS = {"pink": "peony", "white": "yarrow"}


@pytest.fixture
def weeks(open_desk: Callable[[dict[str, bytes]], Desk]) -> Iterator[Weeks]:
    """Monday 14 June, before anything was told."""
    with mail_server() as server:
        yield Weeks(BucketDay(open_desk(told_farm())), server)


def test_the_peonies_of_a_couple_day_by_day(weeks: Weeks) -> None:
    assert weeks.tell(MONDAY).queued == ("anna", "mira")
    (expected,) = weeks.letters("mira@jo.example")
    assert "Pink peony, 25 asked. Yours: 0; up to 25" in expected
    assert "Leaves Fri 18 Jun. We look again on Thu 17 Jun." in expected
    assert "final" not in expected.lower() and "yarrow" not in expected.lower() and "Anna" not in expected
    page, lines = weeks.shown("mira")
    assert lines == [("Pink peony", 0, 25, "Yours: 0; up to 25")]
    assert "Thu 17 Jun 2027" in page and "Pause" not in page and "What else there is" not in page

    on(weeks.desk, THURSDAY)
    weeks.day.walk(peony=61)
    assert weeks.shown("mira")[1] == [("Pink peony", 25, 25, "Yours: all 25")]
    weeks.day.cut(30, batch="pink", left=31)
    weeks.day.confirm()

    (_, settled) = weeks.letters("mira@jo.example")
    assert "Pink peony: all 25 stems" in settled and "settled" in settled
    page, lines = weeks.shown("mira")
    assert lines == [("Pink peony", 25, 25, "all 25 stems, 5 bunches")]
    assert not list(to_ring(weeks.desk))


def test_three_weeks_as_the_florist_reads_them(weeks: Weeks) -> None:
    # Week 24: one of 20 on Monday; on Thursday 84 stand, and all 20 are cut and settled.
    weeks.tell(MONDAY)
    assert weeks.tell(MONDAY).queued == ()
    assert weeks.shown()[1] == [("Yarrow", 1, 17, "Yours: 1; up to 17")]
    weeks.thursday(MONDAY, pink=(61, 30, 31), white=(84, 40, 44))
    page, lines = weeks.shown()
    assert lines == [("Yarrow", 20, 20, "all 20 stems, 2 bunches")] and "For week 25" in page

    # Week 25: all 20 were hers on Monday, 18 are cut and settled, and of these three are thrown.
    second = MONDAY + WEEK
    weeks.tell(second)
    assert weeks.shown()[1][0][1] == 20
    weeks.thursday(second, white=(18, 18, 0))
    weeks.correct(second, 15, Reason.THROWN)
    ring = "Ring Studio Anna Verhoeven: of 20 Yarrow for Fri 25 Jun 2027, 15 are there."
    assert [said for said in to_ring(weeks.desk) if "Anna" in said] == [ring]
    assert "Some were not good enough to send." in weeks.shown()[0]

    # Week 26: settled, taken back and settled again with as many: nothing more is written.
    third = second + WEEK
    weeks.tell(third)
    weeks.thursday(third, white=(60, 30, 30))
    weeks.day.take_back(third)
    weeks.day.confirm(third)
    assert weeks.shown()[1][0][3] == "all 20 stems, 2 bunches"
    read_in_order(weeks.letters())


def read_in_order(letters: list[str]) -> None:
    """What the florist reads in the three weeks."""
    kinds = ["expected" if "this is what we expect" in one else "settled" for one in letters]
    assert kinds == ["expected", "settled", "expected", "settled", "settled", "expected", "settled"]
    said = [
        "Yarrow, 20 asked. Yours: 1; up to 17",
        "Yarrow: all 20 stems, 2 bunches",
        "Yarrow, 20 asked. Yours: all 20",
        "Yarrow: 18 of 20 stems, 1 bunch",
        "Yarrow: 15 of 20 stems, 1 bunch",
        "Yarrow, 20 asked. Yours: ",
        "Yarrow: all 20 stems, 2 bunches",
    ]
    for words, letter in zip(said, letters, strict=True):
        assert words in letter
    assert ["fewer come than we wrote" in one for one in letters] == [False] * 4 + [True, False, False]
    assert "There were not enough of them." in letters[3] and "Some were not good enough to send." in letters[4]
    assert not any(word in one for one in letters for word in ("Mira", "peony", "2027-06", "anna-1", "final"))


def test_more_is_on_the_page_and_in_no_letter(weeks: Weeks) -> None:
    weeks.tell(MONDAY)
    weeks.thursday(MONDAY, white=(40, 40, 0))
    weeks.correct(MONDAY, 12, Reason.BACK_IN_STORE)
    before = len(weeks.letters())
    weeks.correct(MONDAY, 19, "found in the store")

    assert len(weeks.letters()) == before == 3
    assert weeks.shown()[1][0][1:] == (19, 19, "19 of 20 stems, 1 bunch")
    # The letter before the last said 20: until she has all of them, somebody has to ring.
    assert [said for said in to_ring(weeks.desk) if "of 20 Yarrow" in said and "19 are there" in said]


def answered(weeks: Weeks, customer: str, kind: AskKind, order: str, note: str = "") -> None:
    """A customer's answer to her delivery of Friday."""
    ask = FloristAsk(kind, order=order, due=FRIDAY)
    weeks.day.done(lambda work: reply_to_list(weeks.desk, work, customer, [ask], note))


def test_an_answer_to_a_delivery_replaces_the_one_before_and_is_judged(weeks: Weeks) -> None:
    weeks.tell(MONDAY)
    for kind in (AskKind.RELEASE, AskKind.SOMETHING_ELSE, AskKind.WAIT, AskKind.SOMETHING_ELSE):
        answered(weeks, "anna", kind, "anna-weekly")
    (reply,) = open_replies(weeks.desk)
    assert reply.asks[0]["kind"] == AskKind.SOMETHING_ELSE
    older = min(entry.seq for entry in weeks.desk.store.entries_of("florist-replied"))
    with pytest.raises(NotAccepted, match="later one replaced"):
        weeks.day.done(lambda work: judge_reply(weeks.desk, work, Word(older, accept=True, bunches={})))
    assert "You told us: something else" in weeks.shown()[0]

    answered(weeks, "anna", AskKind.WAIT, "anna-weekly")
    assert open_replies(weeks.desk) == ()


def test_who_is_released_lets_the_stems_go_and_is_written_to_no_more(weeks: Weeks) -> None:
    weeks.tell(MONDAY)
    answered(weeks, "anna", AskKind.RELEASE, "anna-weekly")
    answered(weeks, "mira", AskKind.RELEASE, "wedding", "It rains")
    for reply in open_replies(weeks.desk):
        said = Word(reply.number, accept=True, bunches={})
        assert weeks.day.done(lambda work, said=said: judge_reply(weeks.desk, work, said)) == (
            "yes, you are released from it",
        )

    assert (weeks.shown()[1], weeks.shown("mira")[1]) == ([], [])
    assert str(next(one for one in weeks.desk.store.farm().orders if one.key == "wedding").status) == "cancelled"
    last = weeks.letters()[-1]
    assert "of Fri 18 Jun 2027: release me from it: yes, you are released from it" in last


def test_an_answer_too_late_touches_nothing_and_one_of_another_week_is_refused(weeks: Weeks) -> None:
    answered(weeks, "anna", AskKind.RELEASE, "anna-weekly")
    weeks.thursday(MONDAY, white=(84, 40, 44))
    (reply,) = open_replies(weeks.desk)
    said = Word(reply.number, accept=True, bunches={})
    outcomes = weeks.day.done(lambda work: judge_reply(weeks.desk, work, said))
    assert outcomes == ("too late: it is packed already",)
    assert weeks.shown()[1][0][1] == 20

    with pytest.raises(NotFound, match="expected this week"):
        answered(weeks, "anna", AskKind.RELEASE, "anna-weekly")


def test_what_is_expected_is_told_of_this_week_alone(weeks: Weeks) -> None:
    with pytest.raises(NotAccepted, match="2027-06-14"):
        weeks.day.done(lambda work: tell_expected(weeks.desk, work, MONDAY + WEEK))
    weeks.tell(MONDAY)
    assert not follow_week(weeks.desk, "clock"), "what the letters called theirs is written down with them"

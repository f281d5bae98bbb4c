"""What the grower's word on a florist's answer rests on: what she asks, what would come of it, and what was said."""

import pytest

from haulm.errors import NotFound
from haulm.jobs.desk.desk import Desk
from haulm.jobs.florists.judge_reply import Word, judge_reply
from haulm.jobs.florists.reply_seen import COST, OUTCOME, look_at_reply, replies_shown
from haulm.jobs.florists.reply_to_list import AskKind, FloristAsk, reply_to_list
from support.desks import NOW, done

MORE = FloristAsk(AskKind.MORE, product="lagurus", bunches=1)


def answered(desk: Desk) -> int:
    """The number of an answer of Anna's that asks for a bunch."""
    done(desk, lambda work: reply_to_list(desk, work, "anna", [MORE]))
    ((reply, _),) = replies_shown(desk)
    return reply.number


def test_an_answer_is_shown_with_what_it_asks_and_what_would_come_of_it(desk: Desk) -> None:
    answered(desk)
    ((_, shown),) = replies_shown(desk)

    assert shown.figures["Your word"] == "not given yet"
    assert "Bunny tail" in shown.figures["Asked"]
    assert shown.figures[COST] and shown.figures[OUTCOME]


def test_a_word_given_meanwhile_changes_what_the_next_one_rests_on(desk: Desk) -> None:
    number = answered(desk)
    ((_, before),) = replies_shown(desk)
    done(desk, lambda work: judge_reply(desk, work, Word(number, False, {})))

    with desk.store.unit_of_work(actor="owner", now=NOW) as work:
        now = look_at_reply(desk, number)(work)
    assert now.figures["Your word"] == "declined"
    assert now.tag != before.tag
    assert replies_shown(desk) == ()


def test_an_answer_nobody_gave_is_not_looked_at(desk: Desk) -> None:
    with desk.store.unit_of_work(actor="owner", now=NOW) as work, pytest.raises(NotFound):
        look_at_reply(desk, 999)(work)

"""All that is kept of somebody, and of nobody else."""

import pytest

from haulm.errors import NotFound
from haulm.jobs.desk.desk import Desk
from haulm.jobs.florists.florist_links import end_links
from haulm.jobs.florists.no_more_mail import want_mail
from haulm.jobs.journal.see_person import see_person
from haulm.store.outbox import Letter
from support.desks import done


def test_what_was_written_of_one_person_is_shown_with_its_day(party_desk: Desk) -> None:
    done(party_desk, lambda work: end_links(work, "bram"))
    done(party_desk, lambda work: want_mail(work, "bram", wanted=False))
    done(party_desk, lambda work: work.send(Letter("reply-judged", "bram", {}, "k")))

    found = see_person(party_desk, "bram")

    assert (found.name, found.email, found.wants_mail) == ("Bram's corner", None, False)
    assert found.orders == (
        "Bram's corner's order, leaves Fri 18 Jun 2027",
        "Bram's corner's order, leaves Fri 2 Jul 2027",
    )
    assert [(one.what, one.words) for one in found.letters] == [
        ("A florist's answer accepted or declined", "waits to be sent")
    ]
    assert len(found.links_ended) == 1 and found.answers == found.claims == ()
    other = see_person(party_desk, "anna")
    assert (other.wants_mail, other.letters, other.links_ended) == (True, (), ())


def test_days_are_iso_text_in_the_file(party_desk: Desk) -> None:
    done(party_desk, lambda work: end_links(work, "bram"))

    (day,) = see_person(party_desk, "bram").as_json()["links_ended"]
    assert len(day) == 10 and day[4] == "-"


def test_nobody_of_that_key_is_not_found(desk: Desk) -> None:
    with pytest.raises(NotFound):
        see_person(desk, "nobody")

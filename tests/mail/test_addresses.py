"""Addresses as servers take them: domains with accents in other letters, everything else as it was typed.

Checked against: the standard library's codec of IDNA 2003, which gives the same for these, and its parser of mail.
"""

from __future__ import annotations

import email
from email.policy import default

import pytest

from haulm.mail.addresses import bare, on_the_wire
from haulm.mail.rendering import Envelope, rendered
from haulm.store.outbox import Letter
from support.desks import NOW


@pytest.mark.parametrize("domain", ["bücher.example", "señal.example", "Blüte.example", "花.example"])
def test_a_domain_with_accents_is_told_in_other_letters(domain: str) -> None:
    told = on_the_wire(f"anna@{domain}")
    assert told == f"anna@{domain.lower().encode('idna').decode('ascii')}" and told.isascii()


@pytest.mark.parametrize("address", ["anna@flowers.example", "Anna.B+w@Flowers.example", "anna@a..ü", "no address"])
def test_what_needs_nothing_and_what_is_no_domain_stays_as_it_is(address: str) -> None:
    assert on_the_wire(address) == address


def test_a_name_before_the_address_is_left_out() -> None:
    assert (bare("Known stems <farm@stems.example>"), bare(" a@b.example ")) == ("farm@stems.example", "a@b.example")


def test_a_mail_to_such_a_domain_has_a_header_that_another_parser_reads() -> None:
    facts = {"farm": "Known stems", "day": "2027-06-14", "holds": False}
    envelope = Envelope("farm@blüte.example", "anna@bücher.example", "Änna")
    message = email.message_from_bytes(
        rendered(Letter("taken-back", "anna", facts, "k"), envelope, NOW, "<1@x>"), policy=default
    )
    assert (message["To"].addresses[0].addr_spec, message["To"].addresses[0].display_name) == (
        "anna@xn--bcher-kva.example",
        "Änna",
    )
    assert message["From"].addresses[0].addr_spec == "farm@xn--blte-1ra.example"

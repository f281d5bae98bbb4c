"""Letters as mails: text and HTML from the same frozen facts, the addresses looked up at that moment."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime, parseaddr
from functools import cache
from typing import Any

import css_inline
from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape

from haulm.farm.quantities import percent
from haulm.farm.weeks import day_in_words, near_day_in_words
from haulm.language.words import _, marked, one_or_more
from haulm.mail.addresses import on_the_wire
from haulm.store.outbox import Letter

_SEVEN_BIT = SMTP.clone(cte_type="7bit")
"""Every server takes such mail as it is; nothing on the way has to write it anew."""
_SUBJECTS = {
    "digest": marked("{farm}: {headline}"),
    "availability": marked("{farm}: what there is for {monday}"),
    "list-confirmed": marked("{farm}: your stems for {day}"),
    "list-expected": marked("{farm}: what we expect for you, week of {day}"),
    "before-dark": marked("{farm}: {head}"),
    "reply-judged": marked("{farm}: your answer for {monday}"),
    "taken-back": marked("{farm}: about our letter of {day}"),
}
"""What the subject of each kind says; the facts are named as the letter has them."""
_FEWER = marked("{farm}: fewer stems for {day} than we wrote")
"""What it says where a letter of settled stems takes the place of one that told more."""


@dataclass(frozen=True, slots=True)
class Envelope:
    """From whom and to whom, and the links that a letter may carry (None where links lead nowhere).

    Attributes:
        sender: the farm's address, with or without a name.
        recipient: the address it goes to.
        name: whom it greets; empty for the farm itself.
        site: the address of the service, without a slash at its end.
        page: the path of the florist's own page.
        no_more_mail: the path that ends such mail.
    """

    sender: str
    recipient: str
    name: str = ""
    site: str | None = None
    page: str | None = None
    no_more_mail: str | None = None


def rendered(letter: Letter, envelope: Envelope, made_at: datetime, message_id: str) -> bytes:
    """A letter as the bytes of a mail, the same whenever it is made from the same values."""
    facts = {**letter.facts, "headline": _headline(letter.facts)}
    message = EmailMessage(policy=_SEVEN_BIT)
    subject = _FEWER if facts.get("correction") else _SUBJECTS[letter.kind]
    message["Subject"] = _plain(_(subject).format_map(_words(facts)))
    message["From"] = _address(envelope.sender)
    message["To"] = _address(envelope.recipient, envelope.name)
    message["Date"] = format_datetime(made_at)
    message["Message-ID"] = message_id
    message["Auto-Submitted"] = "auto-generated"
    if envelope.no_more_mail is not None and envelope.site is not None:
        message["List-Unsubscribe"] = f"<{envelope.site}{envelope.no_more_mail}>"
        message["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    values = {"facts": facts, "to": envelope}
    name = letter.kind.replace("-", "_")
    message.set_content(_templates().get_template(f"{name}.txt").render(**values))
    html = _templates().get_template(f"{name}.html").render(**values)
    message.add_alternative(css_inline.inline(html, keep_style_tags=True), subtype="html")
    return _with_fixed_boundary(message, message_id)


def _with_fixed_boundary(message: EmailMessage, message_id: str) -> bytes:
    """The bytes with a boundary that follows from the Message-ID, so that making them again changes nothing."""
    message.set_boundary(f"=_{message_id.strip('<>').partition('@')[0]}")
    return message.as_bytes()


def _headline(facts: Mapping[str, Any]) -> str:
    """What the subject of the early warning says: how much there is to decide, and the first day for it."""
    gaps = facts.get("gaps") or []
    if facts.get("is_news") is False:
        return _("nothing is new")
    if not gaps:
        return _("nothing is short")
    count = len(gaps) + int(facts.get("more", 0))
    days = [gap["decide_by"] for gap in gaps if gap["decide_by"] is not None]
    if not days:
        return one_or_more("{count} thing to decide", "{count} things to decide", count).format(count=count)
    said = one_or_more(
        "{count} thing to decide, the first by {day}", "{count} things to decide, the first by {day}", count
    )
    return said.format(count=count, day=_day(min(days)))


def _words(facts: Mapping[str, Any]) -> dict[str, str]:
    """The facts as the subject says them: days in words."""
    return {name: _day(value) if name in ("day", "monday") else str(value) for name, value in facts.items()}


def _day(value: str) -> str:
    return near_day_in_words(date.fromisoformat(value))


def _long_day(value: str) -> str:
    return day_in_words(date.fromisoformat(value))


def _plain(text: str) -> str:
    """A header's text: one line, whatever the facts hold."""
    return " ".join(text.split())


def _address(given: str, name: str = "") -> Address:
    shown, address = parseaddr(_plain(given))
    return Address(display_name=_plain(name) or shown, addr_spec=on_the_wire(address))


@cache
def _templates() -> Environment:
    found = Environment(
        loader=PackageLoader("haulm.mail"),
        autoescape=select_autoescape(("html",)),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        extensions=["jinja2.ext.i18n"],
    )
    # The extension gives environments this method; its types do not know it.
    found.install_gettext_callables(_, one_or_more, newstyle=True)  # type: ignore[attr-defined]
    found.filters.update(percent=percent, day=_day, long_day=_long_day)
    return found

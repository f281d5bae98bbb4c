"""The post: takes letters from the outbox, makes each into a mail once, and has it carried away."""

from __future__ import annotations

import threading
import time
import uuid
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import timedelta
from email.errors import MessageError

from jinja2 import TemplateError

from haulm.errors import HaulmError
from haulm.jobs.desk.desk import Desk
from haulm.jobs.florists.florist_links import link_number
from haulm.jobs.florists.no_more_mail import THE_FARM, wants_no_mail
from haulm.language.words import _
from haulm.mail.addresses import bare, on_the_wire
from haulm.mail.carrier import Carrier, Never, NoServer, NotNow, Unsure
from haulm.mail.rendering import Envelope, rendered
from haulm.store.outbox import Claimed
from haulm.web.links import Holder, Links

AT_ONCE = 20
OF_THE_DAY = ("digest", "before-dark", "availability", "list-expected")
"""Kinds that are worth nothing some days later."""
STALE_AFTER = timedelta(days=3)
EVERY_S = 30.0
"""How long the worker waits between two looks."""
LOOK_EVERY_S = 1.0
"""How long it waits, where nothing was left to work out, before it looks whether anything is by now."""
_OPTIONAL = ("availability",)
"""Kinds that a customer may have ended; what was asked for or agreed is still told."""


@dataclass(frozen=True)
class PostOffice:
    """What the post needs to know of the farm's own address and of where its pages are.

    Attributes:
        sender: the address mails come from.
        owner: the address of the farm itself.
        carrier: what carries mails away; None: nothing leaves.
        links: makes personal links.
        site: the service's public address; None: mails carry no links.
    """

    sender: str
    owner: str
    carrier: Carrier | None
    links: Links
    site: str | None = None
    worker: str = field(default_factory=lambda: uuid.uuid4().hex)


def post_once(desk: Desk, office: PostOffice) -> int:
    """Try every letter that is due once; gives how many were tried.

    Nothing is claimed where nothing can leave, and where no server is to be had the others wait untried.
    """
    if office.carrier is None:
        return 0
    tried = 0
    try:
        while claimed := desk.store.outbox.claim(office.worker, desk.now(), AT_ONCE):
            for place, letter in enumerate(claimed):
                tried += 1
                if not _post(desk, office, office.carrier, letter):
                    desk.store.outbox.put_back(office.worker, [one.number for one in claimed[place + 1 :]])
                    return tried
    finally:
        office.carrier.close()
    return tried


def _post(desk: Desk, office: PostOffice, carrier: Carrier, claimed: Claimed) -> bool:
    """Try one letter; False where there is no server to be had. One that cannot be made holds up no other."""
    try:
        _make_and_carry(desk, office, carrier, claimed)
    except NoServer as fault:
        desk.store.outbox.later(office.worker, claimed, str(fault), desk.now(), is_unsure=claimed.is_repeat)
        return False
    except (HaulmError, ArithmeticError, LookupError, TypeError, ValueError, TemplateError, MessageError) as fault:
        said = _("No mail can be made of it: {name}.").format(name=type(fault).__name__)
        carrier.close()
        desk.store.outbox.later(office.worker, claimed, said, desk.now(), is_unsure=claimed.is_repeat)
    return True


def _make_and_carry(desk: Desk, office: PostOffice, carrier: Carrier, claimed: Claimed) -> None:
    outbox, worker = desk.store.outbox, office.worker
    envelope = _envelope(desk, office, claimed)
    if envelope is None:
        outbox.left_out(worker, claimed.number, _("There is no address for it, or no such mail is wanted."))
        return
    content = claimed.content
    if content is None and claimed.letter.kind in OF_THE_DAY and desk.now() - claimed.made_at > STALE_AFTER:
        outbox.left_out(worker, claimed.number, _("It waited until it was too old to be of use."))
        return
    if content is None:
        message_id = f"<{uuid.uuid4().hex}@{bare(envelope.sender).rpartition('@')[2]}>"
        content = rendered(claimed.letter, envelope, claimed.made_at, message_id)
        outbox.keep_content(worker, claimed.number, message_id, content)
    with suppress(_Taken):
        _carry(desk, office, carrier, claimed, (envelope, content))


def _carry(desk: Desk, office: PostOffice, carrier: Carrier, claimed: Claimed, mail: tuple[Envelope, bytes]) -> None:
    """Have a mail carried, and write down what came of it."""
    outbox, worker, (envelope, content) = desk.store.outbox, office.worker, mail

    def hand_over() -> None:
        if not outbox.hand_over(worker, claimed, desk.now()):
            carrier.close()
            raise _Taken

    try:
        answer = carrier.carry(
            on_the_wire(bare(envelope.sender)), on_the_wire(bare(envelope.recipient)), content, hand_over
        )
    except Never as refusal:
        outbox.bounced(worker, claimed.number, str(refusal))
    except NoServer:
        raise
    except NotNow as refusal:
        outbox.later(worker, claimed, str(refusal), desk.now(), is_unsure=claimed.is_repeat)
    except Unsure as lost:
        outbox.later(worker, claimed, _("The answer was lost: {lost}").format(lost=lost), desk.now(), is_unsure=True)
    else:
        outbox.sent(worker, claimed.number, answer)


class _Taken(Exception):
    """Another worker has the letter by now."""


def _envelope(desk: Desk, office: PostOffice, claimed: Claimed) -> Envelope | None:
    """From whom to whom; None where there is nobody to send it to."""
    key = claimed.letter.customer
    if key is None:
        ended = office.links.no_more_mail_path(Holder(THE_FARM, 0))
        return Envelope(office.sender, office.owner, site=office.site, no_more_mail=ended)
    customer = next((found for found in desk.store.farm().customers if found.key == key), None)
    is_unwanted = claimed.letter.kind in _OPTIONAL and wants_no_mail(desk, key)
    if customer is None or not customer.email or is_unwanted:
        return None
    if office.site is None:
        return Envelope(office.sender, customer.email, customer.name)
    holder = Holder(key, link_number(desk, key))
    page, ended = office.links.florist_path(holder), office.links.no_more_mail_path(holder)
    no_more = ended if claimed.letter.kind in _OPTIONAL else None
    return Envelope(office.sender, customer.email, customer.name, office.site, page, no_more)


class Worker:
    """A thread that looks every half minute for what is due, does it, and posts what is waiting.

    In between it works out step by step what pages show and do not wait for.
    """

    def __init__(
        self,
        do_due: Callable[[], object],
        post: Callable[[], object],
        complain: Callable[[str], None],
        step: Callable[[], bool] = lambda: False,
    ) -> None:
        """A worker that has not started; `complain` hears of faults, in one line each.

        `step` takes one step in the background, and says whether another one can be taken at once.
        """
        self._work = (do_due, post)
        self._step = step
        self._complain = complain
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="post", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self, patience_s: float = 5.0) -> None:
        """End after what is being done, or with it where that takes long: what was not written is due again."""
        self._stop.set()
        self._thread.join(patience_s)

    def _run(self) -> None:
        while True:
            for act in self._work:
                self._try(act)
            if self._is_stopped_within(EVERY_S):
                return

    def _is_stopped_within(self, seconds: float) -> bool:
        """Whether the worker is stopped within so many seconds, in which it takes steps in the background."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            is_more = self._try(self._step)
            if self._stop.wait(0.0 if is_more else LOOK_EVERY_S):
                return True
        return self._stop.is_set()

    def _try(self, act: Callable[[], object]) -> bool:
        """Do something; whether it was done, and says that there is more of it."""
        try:
            return act() is True
        except HaulmError as refusal:
            self._complain(refusal.sentence)
        except Exception as fault:  # whatever it is, the next half minute is another chance
            self._complain(f"{type(fault).__name__}: {fault}")
        return False

"""Signed personal links: one florist or one order of a couple each, and only while the farm has not ended them."""

from __future__ import annotations

import base64
import hashlib
import hmac
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from itsdangerous import BadSignature, SignatureExpired, TimestampSigner, URLSafeTimedSerializer

from haulm.errors import HaulmError
from haulm.language.words import _

HOLDS = timedelta(days=90)
_FLORIST, _COUPLE, _NO_MORE_MAIL, _CALENDAR = "florist", "couple", "no-more-mail", "calendar"


class PersonalLinkNotValid(HaulmError):
    """A personal link is forged, too old, or was ended by the farm."""

    code = "personal-link-not-valid"

    def __init__(self) -> None:
        super().__init__(_("This link is not valid any more: please ask the farm for a new one."))


@dataclass(frozen=True, slots=True)
class Holder:
    """Whose link it is, and at which number it was made; a higher number ends those before."""

    customer: str
    number: int


class Links:
    """Makes and reads links under one secret."""

    def __init__(self, secret: str, now: Callable[[], datetime]) -> None:
        """Links that are signed by a secret, their age told by a clock."""
        self._secret = secret
        self._now = now

    def florist_path(self, holder: Holder) -> str:
        """The address of a florist's page, without the host."""
        return f"/f/{self._signed(_FLORIST, holder)}"

    def couple_path(self, order: str, number: int) -> str:
        """The address of the page of one order, without the host."""
        return f"/your-day/{self._signed(_COUPLE, Holder(order, number))}"

    def no_more_mail_path(self, holder: Holder) -> str:
        """The address that ends mail to a customer, without the host."""
        return f"/no-more-mail/{self._signed(_NO_MORE_MAIL, holder)}"

    def calendar_token(self, nonce: str) -> str:
        """The token of a calendar's link that was made under a nonce: whoever has the nonce alone cannot guess it."""
        key = hashlib.sha256(f"{_CALENDAR} {self._secret}".encode()).digest()
        return base64.urlsafe_b64encode(hmac.digest(key, nonce.encode(), "sha256")).decode().rstrip("=")

    def florist(self, token: str) -> Holder:
        """Whose page a link opens.

        Raises:
            PersonalLinkNotValid: it was not made here, or is too old.
        """
        return self._read(_FLORIST, token, HOLDS)

    def couple(self, token: str) -> Holder:
        """Which order's page a link opens, in the place of the customer; how old it may be its day says.

        Raises:
            PersonalLinkNotValid: it was not made here.
        """
        return self._read(_COUPLE, token, None)

    def no_more_mail(self, token: str) -> Holder:
        """Whose mail a link ends; such a link never grows old.

        Raises:
            PersonalLinkNotValid: it was not made here.
        """
        return self._read(_NO_MORE_MAIL, token, None)

    def _signed(self, purpose: str, holder: Holder) -> str:
        return str(self._serializer(purpose).dumps([holder.customer, holder.number]))

    def _read(self, purpose: str, token: str, holds: timedelta | None) -> Holder:
        most_s = None if holds is None else int(holds.total_seconds())
        try:
            found = self._serializer(purpose).loads(token, max_age=most_s)
        except (BadSignature, SignatureExpired):
            raise PersonalLinkNotValid from None
        customer, number = found
        return Holder(str(customer), int(number))

    def _serializer(self, purpose: str) -> URLSafeTimedSerializer:
        now = self._now

        class Signer(TimestampSigner):
            """Tells the age of a link by the clock of the service."""

            def get_timestamp(self) -> int:
                return int(now().timestamp())

        options = {"digest_method": hashlib.sha256, "key_derivation": "hmac"}
        return URLSafeTimedSerializer(self._secret, salt=purpose, signer=Signer, signer_kwargs=options)

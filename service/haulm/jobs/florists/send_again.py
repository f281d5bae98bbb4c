"""Send a letter again that never arrived: given up after its last try, or bounced from an address since mended."""

from __future__ import annotations

from haulm.errors import NotAccepted
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork


def send_again(work: UnitOfWork, number: int) -> int:
    """Let a letter be made and tried anew, to the address the customer has now; gives its number.

    Raises:
        NotAccepted: there is no such letter, or it is on its way or has arrived.
    """
    if not work.send_again(number):
        raise NotAccepted(
            where="letter", found=str(number), accepted=_("the number of one that bounced or was given up")
        )
    return number

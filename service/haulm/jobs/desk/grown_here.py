"""Whether a kind that a line names is grown here at all: a slip of the pen is no shortage."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches

from haulm.errors import NotAccepted
from haulm.farm.orders import OrderLine
from haulm.farm.varieties import Crop
from haulm.language.words import _

_NAMED = 3


def check_kinds_grown(crops: Mapping[str, Crop], line: OrderLine) -> None:
    """Refuse a line whose choice names a kind of which the farm has no variety.

    Raises:
        NotAccepted: names the kinds that are nearest in spelling, else some that are grown.
    """
    grown = sorted({crop.kind for crop in crops.values() if crop.kind})
    for kind in line.choice.kinds if line.choice is not None else ():
        if kind not in grown:
            named = get_close_matches(kind, grown, _NAMED) or grown[:_NAMED]
            accepted = (
                _("a kind that is grown here, such as {named}").format(named=", ".join(named))
                if named
                else _("a product: no kind is known")
            )
            raise NotAccepted(where="kind", found=f"'{kind}'", accepted=accepted)

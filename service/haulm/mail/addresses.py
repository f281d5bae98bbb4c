"""An address as it is typed, and as servers and headers take it."""

from __future__ import annotations

import idna


def bare(address: str) -> str:
    """The address alone, without a name before it."""
    return address.rpartition("<")[2].strip("> ") if "<" in address else address.strip()


def on_the_wire(address: str) -> str:
    """A bare address with its domain in the letters that every server knows: `a@xn--bcher-kva.example`.

    Args:
        address: a bare address; what is before the @ stays as it is.

    Returns:
        The address; as it was given where its domain is none.

    Source: RFC 5891, by the library idna.
    """
    name, at, domain = address.rpartition("@")
    if domain.isascii():
        return address
    try:
        return f"{name}{at}{idna.encode(domain, uts46=True).decode('ascii')}"
    except idna.IDNAError:
        return address

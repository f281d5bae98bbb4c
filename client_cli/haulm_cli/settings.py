"""Where the service is: `--url`, else HAULM_URL, else this computer. Not for anything the service itself is set to."""

from __future__ import annotations

import ipaddress
from collections.abc import Mapping
from urllib.parse import urlsplit

DEFAULT_URL = "http://127.0.0.1:8000"


class NotAnAddress(Exception):
    """The address of the service cannot be one."""


def service_url(given: str | None, environment: Mapping[str, str]) -> str:
    """The address to speak to; an empty HAULM_URL counts as none.

    Raises:
        NotAnAddress: the address is not http or https, or names no host.
    """
    url = given or environment.get("HAULM_URL") or DEFAULT_URL
    try:
        parts = urlsplit(url)
        reachable = parts.scheme in ("http", "https") and bool(parts.hostname) and parts.port != 0
    except ValueError:
        reachable = False
    if not reachable:
        raise NotAnAddress(f"'{url}' is not an address of a service; accepted is one such as {DEFAULT_URL}.")
    return url


def pass_header(environment: Mapping[str, str]) -> dict[str, str]:
    """What shows the service who asks: HAULM_TOKEN, as `haulm-service token` gives it; nothing where there is none."""
    token = environment.get("HAULM_TOKEN", "").strip()
    return {"Authorization": f"Bearer {token}"} if token else {}


def is_this_computer(url: str) -> bool:
    """Whether the address is a loopback one, which no proxy could reach."""
    host = urlsplit(url).hostname or ""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"

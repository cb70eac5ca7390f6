"""What a route may carry: numbers that no network can reach stay on the machine they were made up on."""

from __future__ import annotations

import ipaddress
from functools import lru_cache
from urllib.parse import urlsplit

#: Country calling code 999 is assigned to nobody; demonstrations and tests use it.
DEMO_PREFIX = "+999"


class DemoNumber(Exception):  # noqa: N818 - named for what is refused
    """A made-up number on its way to a real route."""

    def __init__(self) -> None:
        super().__init__("a +999 number is made up: send to it through a loopback address only")


@lru_cache(maxsize=8)
def is_loopback(address: str) -> bool:
    """Whether an http address stays on this machine, judged without asking any name server.

    >>> [is_loopback(a) for a in ("http://127.0.0.1:9/x", "http://[::1]/", "http://localhost/", "http://127.0.0.1.example/")]
    [True, True, True, False]
    """
    return is_loopback_host(urlsplit(address).hostname or "")


def is_loopback_host(host: str) -> bool:
    """Whether a host name or address is this machine's own.

    >>> [is_loopback_host(host) for host in ("::1", "127.0.0.1", "0.0.0.0", "")]
    [True, True, False, False]
    """
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def check_route(number: str, address: str) -> None:
    """Refuses a made-up number on a real route.

    Args:
        number: E.164 number.
        address: the gateway's address.

    Raises:
        DemoNumber: ``+999…`` to an address that is not loopback.
    """
    if number.startswith(DEMO_PREFIX) and not is_loopback(address):
        raise DemoNumber

"""Which address a request comes from, and whether it is on a list. Nobody's word is taken but a told proxy's."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from ipaddress import IPv4Address, IPv4Network, IPv6Address, IPv6Network, ip_address, ip_network

Address = IPv4Address | IPv6Address
Network = IPv4Network | IPv6Network

#: One who holds an IPv6 network holds all addresses of its last 64 bits.
_ONE_HOLDER = 64


class BadNetwork(ValueError):  # noqa: N818 - named for what is wrong
    """What was given as a network is none."""


class BadForwarding(Exception):  # noqa: N818 - named for what is wrong
    """A proxy that we trust wrote something into ``X-Forwarded-For`` that is no address."""

    def __init__(self) -> None:
        super().__init__("x-forwarded-for: give addresses alone, parted by commas, as the proxy has seen them")


@dataclass(frozen=True)
class Networks:
    """A list of networks.

    Args:
        networks: in any order, of both families.
    """

    networks: tuple[Network, ...] = ()

    @classmethod
    def read(cls, text: str) -> Networks:
        """Networks as they are written: addresses or CIDR, parted by blanks or commas.

        Raises:
            BadNetwork: one of them is none, or has bits set behind its prefix.

        >>> Networks.read("192.0.2.0/24, 2001:db8::7").holds(ip_address("2001:db8::7"))
        True
        >>> Networks.read("192.0.2.1/24")
        Traceback (most recent call last):
        ...
        advisor.gateway.addresses.BadNetwork: '192.0.2.1/24' is no network
        """
        found = []
        for word in text.replace(",", " ").split():
            try:
                found.append(ip_network(word))
            except ValueError:
                raise BadNetwork(f"{word!r} is no network") from None
        return cls(tuple(found))

    def __bool__(self) -> bool:
        return bool(self.networks)

    def holds(self, address: Address) -> bool:
        """Whether an address is in one of the networks."""
        return any(address in network for network in self.networks if network.version == address.version)


NO_NETWORK = Networks()
LOOPBACK = Networks.read("127.0.0.0/8 ::1")


@dataclass(frozen=True)
class Asking:
    """Who asks.

    Args:
        address: None where the server could not tell.
        by_unknown_proxy: whether a proxy stands between that we were not told of, or that does not say for whom.
    """

    address: Address | None
    by_unknown_proxy: bool = False

    @cached_property
    def holder(self) -> str:
        """Who is counted: an IPv4 address, or the network of the first 64 bits of an IPv6 one.

        >>> Asking(ip_address("2001:db8::7")).holder == Asking(ip_address("2001:db8::8")).holder
        True
        """
        if isinstance(self.address, IPv6Address):
            return str(ip_network((int(self.address) >> _ONE_HOLDER << _ONE_HOLDER, _ONE_HOLDER)))
        return str(self.address)


def asking(remote: str, forwarded: str, other_traces: bool, proxies: Networks) -> Asking:
    """Who asks: the nearest address on the way here that is none of our proxies.

    Args:
        remote: the address at the other end of the line.
        forwarded: header ``X-Forwarded-For``, to which each proxy adds, on the right, who asked it.
        other_traces: whether another header tells of a proxy.
        proxies: the proxies that we were told of; nobody else's ``X-Forwarded-For`` is read.

    Raises:
        BadForwarding: see there.

    >>> proxies = Networks.read("10.0.0.0/8")
    >>> str(asking("10.0.0.1", "192.0.2.9, 198.51.100.7, 10.0.0.2", False, proxies).address)
    '198.51.100.7'
    >>> str(asking("203.0.113.5", "192.0.2.9", False, proxies).address)
    '203.0.113.5'
    """
    near = _address(remote)
    if near is None or not proxies or not proxies.holds(near):
        return Asking(near, by_unknown_proxy=bool(forwarded) or other_traces)
    if not forwarded.strip():
        # a proxy that tells in another way of somebody, whom we do not read: it does not ask for itself
        return Asking(near, by_unknown_proxy=other_traces)
    for word in _from_the_right(forwarded):
        far = _address(word)
        if far is None:
            raise BadForwarding
        if not proxies.holds(far):
            return Asking(far)
        near = far
    return Asking(near)


def _from_the_right(forwarded: str) -> Iterable[str]:
    return (word.strip() for word in reversed(forwarded.split(",")))


@lru_cache(4096)
def _address(text: str) -> Address | None:
    """An address; one of IPv4 that is spelt in IPv6, as a server for both families tells it, as what it is."""
    try:
        address = ip_address(text)
    except ValueError:
        return None
    if isinstance(address, IPv6Address) and address.ipv4_mapped is not None:
        return address.ipv4_mapped
    return address

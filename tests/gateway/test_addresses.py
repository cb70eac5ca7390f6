"""Who asks, also behind proxies: nobody's word is taken but that of a proxy we were told of."""

from __future__ import annotations

from ipaddress import ip_address, ip_network

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.gateway.addresses import NO_NETWORK, BadForwarding, BadNetwork, Networks, asking

PROXIES = Networks.read("10.0.0.0/8 fd00::/8")
ADDRESSES = st.ip_addresses()
OUTSIDE = ADDRESSES.filter(lambda address: not PROXIES.holds(address))
INSIDE = st.ip_addresses(network="10.0.0.0/8") | st.ip_addresses(network="fd00::/8")


def who(remote: str, forwarded: str = "", proxies: Networks = PROXIES) -> str:
    return str(asking(remote, forwarded, False, proxies).address)


class TestNetworks:
    @given(st.lists(st.ip_addresses(v=4), max_size=3), st.lists(st.ip_addresses(v=6), max_size=3), ADDRESSES)
    def test_hold_what_the_standard_library_says(self, fours: list, sixes: list, address: object) -> None:
        written = [f"{one}/32" for one in fours] + [str(one) for one in sixes]

        assert Networks.read(" ".join(written)).holds(address) == (address in fours + sixes)

    @pytest.mark.parametrize(
        ("written", "address", "held"),
        [
            ("192.0.2.0/24", "192.0.2.255", True),
            ("192.0.2.0/24", "192.0.3.0", False),
            ("2001:db8::/32", "2001:db8:ffff::1", True),
            ("2001:db8::/32", "2001:db9::1", False),
            ("0.0.0.0/0", "2001:db8::1", False),
            ("192.0.2.1,2001:db8::1", "2001:db8::1", True),
            ("", "192.0.2.1", False),
        ],
    )
    def test_are_read_with_blanks_and_commas(self, written: str, address: str, held: bool) -> None:
        assert Networks.read(written).holds(ip_address(address)) == held

    @pytest.mark.parametrize(
        "wrong", ["192.0.2.0/33", "192.0.2.1/24", "gateway.example", "192.0.2", "::/129", "*"]
    )
    def test_that_are_none_are_named(self, wrong: str) -> None:
        with pytest.raises(BadNetwork, match="is no network"):
            Networks.read(f"192.0.2.7 {wrong}")


class TestWithoutAProxy:
    @given(OUTSIDE, st.text())
    def test_nothing_that_is_sent_changes_who_asks(self, remote: object, forwarded: str) -> None:
        assert who(str(remote), forwarded) == str(getattr(remote, "ipv4_mapped", None) or remote)

    def test_one_that_we_were_not_told_of_shows(self) -> None:
        assert asking("127.0.0.1", "192.0.2.1", False, NO_NETWORK).by_unknown_proxy
        assert asking("127.0.0.1", "", True, NO_NETWORK).by_unknown_proxy
        assert not asking("127.0.0.1", "", False, NO_NETWORK).by_unknown_proxy

    @pytest.mark.parametrize("remote", ["", "unix:", "x" * 300, "1.2.3.4:80"])
    def test_who_has_no_address_is_nobody(self, remote: str) -> None:
        assert asking(remote, "", False, PROXIES).address is None


class TestBehindProxies:
    @given(st.lists(INSIDE, max_size=3), OUTSIDE, st.lists(ADDRESSES, max_size=3), INSIDE)
    def test_the_nearest_that_is_none_of_them_asks_whatever_it_claims(
        self, chain: list, asker: object, claimed: list, nearest: object
    ) -> None:
        forwarded = ", ".join(map(str, (*claimed, asker, *chain)))

        assert who(str(nearest), forwarded) == str(getattr(asker, "ipv4_mapped", None) or asker)

    def test_a_proxy_that_asks_for_itself_is_who_asks(self) -> None:
        assert who("10.0.0.1") == "10.0.0.1"
        assert who("10.0.0.1", "10.0.0.2, 10.0.0.3") == "10.0.0.2"

    def test_one_that_tells_of_somebody_without_saying_whom_does_not_ask_for_itself(self) -> None:
        """As a proxy that writes ``X-Real-IP`` alone: all the world would be where the proxy is."""
        assert asking("10.0.0.1", "", True, PROXIES).by_unknown_proxy
        assert not asking("10.0.0.1", "", False, PROXIES).by_unknown_proxy
        assert not asking("10.0.0.1", "192.0.2.1", True, PROXIES).by_unknown_proxy

    @given(
        st.text(st.characters(codec="latin-1"), min_size=1).filter(lambda text: "," not in text and text.strip())
    )
    def test_what_is_no_address_is_a_fault_of_theirs_and_never_one_of_ours(self, word: str) -> None:
        try:
            ip_address(word.strip())
        except ValueError:
            with pytest.raises(BadForwarding):
                who("10.0.0.1", f"192.0.2.1, {word}")

    def test_an_address_of_ipv4_spelt_in_ipv6_is_one_of_ipv4(self) -> None:
        assert who("::ffff:10.0.0.1", "::ffff:192.0.2.7") == "192.0.2.7"


class TestWhoIsCounted:
    @given(st.ip_addresses(v=6).filter(lambda address: address.ipv4_mapped is None), st.integers(0, 2**64 - 1))
    def test_is_the_network_of_an_ipv6_address(self, address: object, end: int) -> None:
        other = ip_address((int(address) >> 64 << 64) | end)
        holder = asking(str(address), "", False, NO_NETWORK).holder

        assert holder == str(ip_network((int(other) >> 64 << 64, 64)))

    def test_is_each_address_of_ipv4(self) -> None:
        assert (
            asking("192.0.2.1", "", False, NO_NETWORK).holder != asking("192.0.2.2", "", False, NO_NETWORK).holder
        )

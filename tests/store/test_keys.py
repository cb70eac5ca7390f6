"""Hashes, outgoing ids and the names of keys."""

from __future__ import annotations

import hashlib
import hmac
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.store import keys
from advisor.store.names import BUCKETS, bucket_of, bucket_of_out, checked_name
from tests.store.samples import ANN, NUMBERS, SECRET

hashes = st.from_regex(r"[0-9a-f]{16}", fullmatch=True)


def test_a_grower_id_is_the_first_16_digits_of_the_hmac() -> None:
    whole = hmac.new(b"secret", b"+999001000001", hashlib.sha256).hexdigest()

    assert keys.grower_id(b"secret", "+999001000001") == whole[:16]


def test_another_secret_makes_everybody_a_stranger() -> None:
    assert not {keys.grower_id(b"one", number) for number in NUMBERS} & {
        keys.grower_id(b"two", number) for number in NUMBERS
    }


@given(st.text())
def test_a_message_id_never_hashes_to_what_a_number_hashes_to(text: str) -> None:
    assert keys.message_hash(SECRET, text) != keys.grower_id(SECRET, text)
    assert re.fullmatch(r"[0-9a-f]{16}", keys.message_hash(SECRET, text))


@given(hashes, st.lists(st.text(min_size=1)))
def test_an_outgoing_id_is_derived_and_finds_its_bucket(grower: str, parts: list[str]) -> None:
    oid = keys.outgoing_id(grower, *parts)

    assert oid == keys.outgoing_id(grower, *parts)
    assert bucket_of_out(oid) == bucket_of(grower)


def test_outgoing_ids_differ_by_where_their_parts_are_cut() -> None:
    assert keys.outgoing_id(ANN, "ab", "c") != keys.outgoing_id(ANN, "a", "bc")


def test_numbers_fall_into_all_buckets() -> None:
    buckets = {bucket_of(keys.grower_id(SECRET, f"+99900{place:07d}")) for place in range(4000)}

    assert buckets == set(range(BUCKETS))


@pytest.mark.parametrize("number", [NUMBERS[0], NUMBERS[0][1:], "00" + NUMBERS[0][1:], "Ann", ""])
def test_a_bare_number_or_name_is_no_grower(number: str) -> None:
    with pytest.raises(ValueError, match="never pass a number or a name") as refused:
        bucket_of(number)

    assert not number or number not in str(refused.value)


@pytest.mark.parametrize("name", ["", "a b", "a:b", "a{b", "a}b", "+999001000001", "x" * 65, "ä", "a\n"])
def test_a_name_that_could_leave_its_place_in_a_key_is_refused(name: str) -> None:
    with pytest.raises(ValueError, match="1 to 64 letters"):
        checked_name("village", name)


@pytest.mark.parametrize("bucket", [-1, BUCKETS])
def test_there_is_no_bucket_beyond_the_last(bucket: int) -> None:
    with pytest.raises(ValueError, match="allowed is 0 to 255"):
        keys.in_bucket(bucket, "stop")

"""What the running service asks of Redis for each message: one read and one commit, and no name in any key."""

from __future__ import annotations

from collections import Counter

from redis.crc import key_slot

from advisor.loading import load_book
from tests.servers import redis_server
from tests.store.test_trips import heard
from tests.whole.services import Phone, agree, service

NUMBER = "+99900020001"


def test_each_message_takes_exactly_two_exchanges_in_one_slot():
    with redis_server() as redis, service(redis.address) as found:
        phone = Phone(NUMBER, (found.address,))
        phone.dial()  # the first message of a process also opens the store

        def talk():
            agree(phone)
            phone.type("1", "2.5", "1", "1")
            phone.sms("hello")
            phone.ussd("cancel", "")

        asked = len(phone.ledger)
        told = heard(redis, talk)
        messages = len(phone.ledger) - asked
        phone.close()
        with redis.client() as client:
            keys = [key.decode() for key in client.keys("*")]

    assert messages == 10
    # The service also looks now and then for what is due; those polls carry no message.
    of_messages = [words for words in told.by_clients if words[0].upper() in ("MGET", "EVALSHA")]
    polls = Counter(told.names) - Counter(words[0].upper() for words in of_messages)
    assert [words[0].upper() for words in of_messages] == ["MGET", "EVALSHA"] * messages
    assert set(polls) <= {"ZRANGEBYSCORE", "ZCOUNT", "ZRANGE", "ZCARD", "PING", "HGETALL", "ZSCORE"}, polls
    for words in of_messages:
        named = words[1:] if words[0].upper() == "MGET" else words[3 : 3 + int(words[2])]
        assert named
        assert len({key_slot(key.encode()) for key in named}) == 1, named
    _assert_no_person_in(keys)


def _assert_no_person_in(keys: list[str]) -> None:
    names = [village.label.default for village in load_book().programme.villages]
    for key in keys:
        assert NUMBER.strip("+") not in key
        assert "999000" not in key
        assert not [name for name in names if name.lower() in key.lower()]
    assert any(":g:" in key for key in keys)

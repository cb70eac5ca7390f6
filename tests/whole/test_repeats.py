"""The same message twice, two processes at once, a Redis that stands still: one answer, one effect."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime

import httpx
import pytest

from advisor.service.identity import Ids
from advisor.store.opening import open_store
from tests.servers import redis_server
from tests.whole.services import SECRET, Phone, agree, service


@pytest.fixture(scope="module")
def redis():
    with redis_server() as server:
        yield server


@pytest.fixture(scope="module")
def two_services(redis):
    """Two services, each a process tree of its own, on one Redis."""
    with service(redis.address) as one, service(redis.address) as other:
        yield one.address, other.address


@pytest.fixture
def phone_for(two_services):
    """Phones that have agreed, by number, closed afterwards."""
    made = []

    def make(number, addresses=two_services[:1]):
        made.append(Phone(number, addresses))
        agree(made[-1])
        return made[-1]

    yield make
    for phone in made:
        phone.close()


def _history(redis, number):
    store = open_store(redis.address)
    try:
        return [dict(line) for line in store.history(Ids(SECRET.encode()).number(number))]
    finally:
        store.close()


def _body(message_id, number, text="hello", **more):
    now = datetime.now(UTC).isoformat()
    return {"id": message_id, "from": number, "to": "2500", "text": text, "at": now} | more


def _at_once(*calls):
    barrier = threading.Barrier(len(calls))

    def run(call):
        barrier.wait()
        return call()

    with ThreadPoolExecutor(len(calls)) as pool:
        return list(pool.map(run, calls))


class TestOneId:
    def test_sent_again_gets_the_same_answer_and_changes_nothing(self, redis, two_services, phone_for):
        phone = phone_for("+99900010001")
        body = _body("again-1", phone.number) | {"session": "s1", "event": "begin", "input": ""}
        del body["text"]

        first = httpx.post(f"{two_services[0]}/gateway/ussd", json=body, trust_env=False)
        before = _history(redis, phone.number)
        second = httpx.post(f"{two_services[1]}/gateway/ussd", json=body, trust_env=False)

        assert first.status_code == second.status_code == 200
        assert first.json() == second.json()
        assert _history(redis, phone.number) == before

    def test_with_another_body_is_refused(self, two_services):
        one = httpx.post(f"{two_services[0]}/gateway/sms", json=_body("other-1", "+99900010002"), trust_env=False)
        other = _body("other-1", "+99900010002", text="something else")
        again = httpx.post(f"{two_services[1]}/gateway/sms", json=other, trust_env=False)

        assert one.status_code == 202
        assert again.status_code == 409
        assert again.headers["content-type"] == "application/problem+json"

    def test_at_the_same_moment_from_two_processes_has_one_effect(self, redis, two_services, phone_for):
        phone = phone_for("+99900010003")
        seen = len(_history(redis, phone.number))
        for turn in range(40):
            body = _body(f"race-{turn}", phone.number) | {"session": f"r{turn}", "event": "begin", "input": ""}
            del body["text"]
            calls = [
                lambda address=address, body=body: httpx.post(
                    f"{address}/gateway/ussd", json=body, trust_env=False
                )
                for address in two_services
            ]
            one, other = _at_once(*calls)

            assert (one.status_code, other.status_code) == (200, 200)
            assert one.json() == other.json()
        assert len(_history(redis, phone.number)) == seen + 40


class TestTwoAnswersAtOnce:
    def test_none_is_lost(self, redis, two_services, phone_for):
        phone = phone_for("+99900010004")
        phone.sms("hi")
        seen = len(_history(redis, phone.number))
        for turn in range(40):
            calls = [
                lambda address=address, turn=turn, name=name: httpx.post(
                    f"{address}/gateway/sms", json=_body(f"two-{turn}-{name}", phone.number, name), trust_env=False
                )
                for name, address in zip(("left", "right"), two_services, strict=True)
            ]
            assert {answer.status_code for answer in _at_once(*calls)} == {202}

        typed = [line["input"] for line in _history(redis, phone.number)[seen:]]
        assert sorted(typed) == ["left"] * 40 + ["right"] * 40


class TestRedis:
    def test_standing_still_for_a_moment_applies_nothing_twice(self, redis, two_services, phone_for):
        phone = phone_for("+99900010005", two_services)
        seen = len(_history(redis, phone.number))
        held_up = 0
        for turn in range(6):
            freezer = threading.Thread(target=_freeze, args=(redis,))
            freezer.start()
            for step in range(4):
                begun = time.monotonic()
                phone.sms(f"{turn}-{step}")
                held_up += time.monotonic() - begun > 0.3
            freezer.join()

        typed = [line["input"] for line in _history(redis, phone.number)[seen:]]
        assert typed == [f"{turn}-{step}" for turn in range(6) for step in range(4)]
        assert held_up > 0, "the pause never met a message, so nothing was shown"

    def test_away_is_answered_503_with_retry_after_and_comes_back_by_itself(self, redis, two_services, phone_for):
        phone = phone_for("+99900010006")
        phone.type("1")
        before = _history(redis, phone.number)
        redis.kill()
        try:
            body = _body("away-1", phone.number) | {"session": "a1", "event": "answer", "input": "2.5"}
            del body["text"]
            answer = httpx.post(f"{two_services[0]}/gateway/ussd", json=body, trust_env=False)
        finally:
            redis.start()

        assert answer.status_code == 503
        assert int(answer.headers["retry-after"]) >= 1
        assert answer.headers["content-type"] == "application/problem+json"
        assert _history(redis, phone.number) == before
        assert "acres" in phone.type("2.5")["text"]


def _freeze(redis):
    redis.freeze()
    time.sleep(0.6)
    redis.thaw()

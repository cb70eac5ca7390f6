"""How often somebody may ask: an address, and a number behind a signature; a word for stop is always heard."""

from __future__ import annotations

import pytest

from tests.gateway.asking import ADDRESSES, problem_in
from tests.gateway.bodies import sms, ussd
from tests.gateway.conftest import Serve
from tests.gateway.signed import headers
from tests.gateway.test_door import AT_S, OFTEN, SIGNED, encoded, send
from tests.service.stage import StandingClock
from tests.whole.services import OPEN


@pytest.fixture
def clock() -> StandingClock:
    return StandingClock()


class TestHowOften:
    def test_an_address_may_ask_is_limited_on_every_path(self, serve: Serve, clock: StandingClock) -> None:
        client = serve(clock=clock, speaking=OPEN | {"SOWING_ADDRESS_RATE": "5"})
        paths = ("/health", "/openapi.json", "/nowhere", "/metrics", "/gateway/ussd")
        assert [client.get(path).status_code for path in paths] == [200, 200, 404, 200, 405]

        answer = client.get("/openapi.json")

        assert (answer.status_code, answer.headers["Retry-After"]) == (429, "1")
        assert problem_in(answer)["reason"] == "address_rate"
        assert client.get("/health", environ_base={"REMOTE_ADDR": "127.0.0.2"}).status_code == 200
        clock.wait(1)
        assert client.get("/health").status_code == 200

    @pytest.mark.parametrize("path", ["/gateway/ussd", "/gateway/sms"])
    def test_a_number_may_write_is_limited_and_no_other_number_feels_it(
        self, serve: Serve, clock: StandingClock, path: str
    ) -> None:
        client = serve(clock=clock, speaking=OPEN | {"SOWING_GROWER_RATE": "6"})
        statuses = [client.post(path, json=ADDRESSES[path](id=str(one))).status_code for one in range(7)]
        assert statuses == [200 if path == "/gateway/ussd" else 202] * 6 + [429]

        answer = client.post(path, json=ADDRESSES[path](id="8"))

        assert (problem_in(answer)["reason"], answer.headers["Retry-After"]) == ("number_rate", "10")
        assert client.post(path, json=ADDRESSES[path](from_="+999005556677")).status_code < 300
        clock.wait(10)
        assert client.post(path, json=ADDRESSES[path](id="8")).status_code < 300

    @pytest.mark.parametrize("word", ["STOP", "acha", "Erase."])
    def test_but_a_word_for_stop_or_erasing_is_never_put_off(self, serve: Serve, word: str) -> None:
        client = serve(speaking=OPEN | {"SOWING_GROWER_RATE": "1"})
        client.post("/gateway/sms", json=sms(id="1"))
        assert client.post("/gateway/sms", json=sms(id="2")).status_code == 429

        assert client.post("/gateway/sms", json=sms(id="3", text=word)).status_code == 202

    def test_a_repeat_that_was_put_off_gets_its_first_answer_later(
        self, serve: Serve, clock: StandingClock
    ) -> None:
        client = serve(clock=clock, speaking=OPEN | {"SOWING_GROWER_RATE": "1"})
        first = client.post("/gateway/ussd", json=ussd())

        put_off = client.post("/gateway/ussd", json=ussd())
        clock.wait(float(put_off.headers["Retry-After"]))

        assert put_off.status_code == 429
        assert client.post("/gateway/ussd", json=ussd()).data == first.data

    def test_a_number_may_write_is_counted_only_behind_a_signature(self, serve: Serve) -> None:
        """Or anybody could have a grower turned away."""
        client = serve(speaking=SIGNED | OFTEN | {"SOWING_GROWER_RATE": "1"})
        body = encoded(sms())
        for _ in range(20):
            send(client, "/gateway/sms", body, {})

        assert send(client, "/gateway/sms", body, headers(body, AT_S)).status_code == 202

    def test_is_nobody_s_business_in_a_demonstration(self, serve: Serve) -> None:
        client = serve(demo=True)

        assert {client.post("/gateway/ussd", json=ussd(id=str(one))).status_code for one in range(100)} == {200}

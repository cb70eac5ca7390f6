"""Outgoing messages: what the gateway is given, what its answers mean, when the next try is."""

from __future__ import annotations

import socket
import threading
from http.server import BaseHTTPRequestHandler, HTTPServer
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from standardwebhooks import Webhook

from advisor.dialogue.talk import Agree, Effect, Erase, Send, Stop
from advisor.service.backoff import ATTEMPTS, LONGEST_WAIT_S, wait_s
from advisor.service.clock import SystemClock, unix_ms
from advisor.service.damage import Damage
from advisor.service.outgoing import Delivery, Parcel, delivery_of
from advisor.service.pacing import BEGIN_BY_S
from advisor.service.posting import NOT_REACHED, TIMEOUT_S, Response, http_post
from advisor.service.routing import DemoNumber, check_route, is_loopback
from advisor.service.sending import LEASE_MS, URGENT, Sender
from advisor.service.signing import Keys
from advisor.store.api import Change, Claims, Out
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
from tests.gateway.signed import KEY, OTHER_KEY
from tests.service.stage import ANN, NOW, StandingClock, grower_id, inbound, rounds, says, sms

LOOPBACK = "http://127.0.0.1:9000/sms"
REAL = "https://gateway.example/sms"
BUCKET = bucket_of(grower_id())
OID = f"b{BUCKET:02x}-1"


class Gateway:
    """A gateway that answers as it is told and keeps what it was given."""

    def __init__(self, *responses: Response) -> None:
        self.responses = list(responses)
        self.given: list[Delivery] = []

    def __call__(self, oid: str, body: bytes, may_begin: object) -> Response:
        self.given.append(msgspec.json.decode(body, type=Delivery))
        return self.responses.pop(0) if self.responses else Response(200)


class Tally:
    """Counts results of hand-overs."""

    def __init__(self) -> None:
        self.results: list[str] = []

    def message(self, *_: object) -> None: ...

    def conflict(self) -> None: ...

    def handed_over(self, result: str) -> None:
        self.results.append(result)

    def damaged(self) -> None: ...


def outbox(text: str = "Buy 18 kg", number: str = ANN, *, life_ms: int = 10**8) -> DictStore:
    """A store with one waiting message."""
    store = DictStore()
    now_ms = unix_ms(NOW)
    out = Out(OID, 0, now_ms, now_ms + life_ms, msgspec.json.encode(Parcel(number, text)))
    store.commit(Change(grower_id(), 0, b"{}", now_ms, outs=(out,)))
    return store


def sender(
    store: DictStore, gateway: Gateway, clock: StandingClock | None = None, address: str = LOOPBACK
) -> Sender:
    clock = clock or StandingClock()
    return Sender(store, clock, address, "1212", gateway, Damage(clock), Tally())


class TestADelivery:
    def test_is_what_the_contract_says(self) -> None:
        gateway = Gateway()

        sender(outbox(), gateway).send_due(BUCKET)

        assert msgspec.to_builtins(gateway.given[0]) == {
            "id": OID,
            "from": "1212",
            "to": ANN,
            "text": "Buy 18 kg",
            "alphabet": "gsm7",
            "segments": 1,
        }

    def test_names_its_alphabet_and_segments(self) -> None:
        delivery = delivery_of(OID, Parcel(ANN, "ख" * 71), "1212")

        assert (delivery.alphabet, delivery.segments) == ("ucs2", 2)

    def test_keeps_the_order_of_pages(self) -> None:
        store, gateway = DictStore(), Gateway()
        inbound(store, says("1 of 3", Send("list", ("2 of 3", "3 of 3")))).take(sms("list"))
        clock = StandingClock()
        clock.wait(1)

        sender(store, gateway, clock).send_due(BUCKET)

        assert [delivery.text for delivery in gateway.given] == ["1 of 3", "2 of 3", "3 of 3"]

    def test_all_that_is_due_goes_out_in_one_go(self) -> None:
        store, gateway = DictStore(), Gateway()
        pages = tuple(str(number) for number in range(13))
        inbound(store, says("", Send("list", pages))).take(sms("list"))
        clock = StandingClock()
        clock.wait(1)

        tried = sender(store, gateway, clock).send_due(BUCKET)

        assert (tried, len(gateway.given)) == (len(pages), len(pages))

    def test_takes_no_further_claim_where_nothing_more_is_due(self) -> None:
        class Counted(DictStore):
            claims = 0

            def claim(self, *asked: Any) -> Claims:
                self.claims += 1
                return super().claim(*asked)

        store, clock = Counted(), StandingClock()
        inbound(store, says("", Send("list", ("1 of 2", "2 of 2")))).take(sms("list"))
        clock.wait(1)

        tried = sender(store, Gateway(), clock).send_due(BUCKET, lanes=URGENT)

        assert (tried, store.claims) == (2, 2)


class TestTheGatewaysAnswer:
    @pytest.mark.parametrize(
        ("status", "state"),
        [(200, "sent"), (202, "sent"), (400, "failed"), (410, "failed"), (422, "failed")],
    )
    def test_settles_the_message(self, status: int, state: str) -> None:
        store = outbox()

        sender(store, Gateway(Response(status))).send_due(BUCKET)

        assert store.state(OID) == state

    @pytest.mark.parametrize("status", [429, 500, 503, 0, 301])
    def test_that_it_cannot_now_means_later_under_the_same_id(self, status: int) -> None:
        store, clock, gateway = outbox(), StandingClock(), Gateway(Response(status))
        use = sender(store, gateway, clock)

        assert use.send_due(BUCKET) == 1
        assert use.send_due(BUCKET) == 0
        clock.wait(2)
        assert use.send_due(BUCKET) == 1

        assert [delivery.id for delivery in gateway.given] == [OID, OID]
        assert store.state(OID) == "sent"

    def test_with_a_wait_is_heeded(self) -> None:
        clock, gateway = StandingClock(), Gateway(Response(429, asked_s=30))
        use = sender(outbox(), gateway, clock)
        use.send_due(BUCKET)

        clock.wait(29)
        assert use.send_due(BUCKET) == 0
        clock.wait(2)
        assert use.send_due(BUCKET) == 1

    def test_eight_failures_are_enough(self) -> None:
        store, clock, gateway = outbox(), StandingClock(), Gateway(*[Response(500)] * 20)
        use = sender(store, gateway, clock)

        for _ in range(20):
            use.send_due(BUCKET)
            clock.wait(LONGEST_WAIT_S)

        assert (len(gateway.given), store.state(OID)) == (ATTEMPTS, "dead")
        assert use.meter.results == ["later"] * (ATTEMPTS - 1) + ["given_up"]

    def test_while_it_is_not_there_at_all_only_the_messages_own_time_gives_up(self) -> None:
        hours = 30 * 3600
        store, clock = outbox(life_ms=hours * 1000), StandingClock()
        gateway = Gateway(*[NOT_REACHED] * 60)
        use = sender(store, gateway, clock)

        while clock.passed_s < hours - LONGEST_WAIT_S:
            use.send_due(BUCKET)
            assert store.state(OID) == "queued"
            clock.wait(LONGEST_WAIT_S)
        clock.wait(2 * LONGEST_WAIT_S)
        use.send_due(BUCKET)

        assert len(gateway.given) > ATTEMPTS
        assert store.state(OID) == "expired"


class TestATimeLimit:
    def test_no_attempt_begins_after_it(self) -> None:
        store, clock = outbox(), StandingClock()
        gateway = Gateway(Response(200))

        assert sender(store, gateway, clock).send_due(BUCKET, until_s=0.0) == 0
        assert gateway.given == []


class TestWhatIsNotHandedOver:
    def test_a_made_up_number_on_a_real_route(self) -> None:
        store, gateway = outbox(), Gateway()

        sender(store, gateway, address=REAL).send_due(BUCKET)

        assert (gateway.given, store.state(OID)) == ([], "failed")

    @pytest.mark.parametrize(("effect", "said"), [(Stop(), "Stopped."), (Erase(), "Erased.")])
    def test_a_page_after_the_stop(self, effect: Effect, said: str) -> None:
        """Who says stop, or erases, while pages go out gets the page under way, the confirmation, no other."""
        store, clock = DictStore(), StandingClock()
        inbound(store, says("Noted.", Agree(), Send("list", ("page 1", "page 2")))).take(sms("yes"))
        clock.wait(1)
        gateway = Gateway()

        def post(oid: str, body: bytes, may_begin: object) -> Response:
            if not gateway.given:
                inbound(store, says(said, effect), clock).take(sms("1", id="m2"))
            return gateway(oid, body, may_begin)

        sending = Sender(store, clock, LOOPBACK, "1212", post, Damage(clock))
        rounds(store, clock, sending).go_over()

        assert [delivery.text for delivery in gateway.given] == ["Noted.", said]

    def test_what_is_too_late(self) -> None:
        store, clock, gateway = outbox(life_ms=1000), StandingClock(), Gateway()
        clock.wait(2)

        sender(store, gateway, clock).send_due(BUCKET)

        assert (gateway.given, store.state(OID)) == ([], "expired")

    def test_what_cannot_be_read(self) -> None:
        store, gateway = DictStore(), Gateway()
        now_ms = unix_ms(NOW)
        store.commit(Change(grower_id(), 0, b"{}", now_ms, outs=(Out(OID, 0, now_ms, now_ms + 9999, b"?"),)))

        sender(store, gateway).send_due(BUCKET)

        assert (gateway.given, store.state(OID)) == ([], "failed")


class TestTheRoute:
    @pytest.mark.parametrize("address", [LOOPBACK, "http://[::1]:9/", "http://localhost/x", "http://127.9.9.9/"])
    def test_on_this_machine_takes_made_up_numbers(self, address: str) -> None:
        assert is_loopback(address)
        check_route(ANN, address)

    @pytest.mark.parametrize(
        "address",
        [REAL, "http://localhost.example/", "http://127.0.0.1.example/", "http://127.0.0.1@gateway.example/"],
    )
    def test_elsewhere_refuses_them(self, address: str) -> None:
        with pytest.raises(DemoNumber):
            check_route(ANN, address)

    def test_elsewhere_takes_real_ones(self) -> None:
        check_route("+10000000000", REAL)


class TestTheWait:
    @given(st.text(max_size=40), st.integers(1, 50), st.floats(0, 1e6))
    def test_is_the_same_for_the_same_message_and_never_above_an_hour(
        self, oid: str, attempts: int, asked_s: float
    ) -> None:
        waits_s = wait_s(oid, attempts, asked_s)

        assert waits_s == wait_s(oid, attempts, asked_s)
        assert min(asked_s, LONGEST_WAIT_S) <= waits_s <= LONGEST_WAIT_S
        assert waits_s >= 1

    @given(st.text(max_size=40), st.integers(1, 5))
    def test_grows(self, oid: str, attempts: int) -> None:
        assert wait_s(oid, attempts + 1) > wait_s(oid, attempts)

    def test_spreads_messages_of_one_moment(self) -> None:
        assert len({round(wait_s(f"b07-{number}", 3), 1) for number in range(100)}) > 50


def test_a_lease_is_longer_than_a_claim_can_take() -> None:
    assert (BEGIN_BY_S + TIMEOUT_S) * 1000 < LEASE_MS


def test_a_gateway_that_is_not_there_is_no_exception() -> None:
    assert http_post("http://127.0.0.1:9/nobody", Keys(), StandingClock())(OID, b"{}", lambda: True) == NOT_REACHED


class Listening(BaseHTTPRequestHandler):
    """A gateway that keeps what it was sent, and takes it from the second attempt on."""

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers["Content-Length"]))
        self.server.taken.append((dict(self.headers.items()), body))
        self.send_response(503 if len(self.server.taken) == 1 else 200)
        self.end_headers()

    def log_message(self, *_: object) -> None: ...


class TestWhatIsPosted:
    """Read back by the scheme's own library, which plays the gateway."""

    def posted(self, keys: Keys, attempts: int = 2) -> list[tuple[dict[str, str], bytes]]:
        with HTTPServer(("127.0.0.1", 0), Listening) as server:
            server.taken = []
            serving = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
            serving.start()
            clock = SystemClock()
            post = http_post(f"http://127.0.0.1:{server.server_port}/sms", keys, clock)
            store = outbox()
            sending = Sender(store, StandingClock(), LOOPBACK, "1212", post, Damage(StandingClock()))
            for _ in range(attempts):
                sending.send_due(BUCKET)
                sending.clock.wait(600)
            server.shutdown()
            serving.join()
        return server.taken

    def test_is_signed_by_every_key_at_each_attempt_under_the_message_s_own_id(self) -> None:
        found = self.posted(Keys.read(f"{KEY} {OTHER_KEY}"))

        assert len(found) == 2
        for said, body in found:
            for key in (KEY, OTHER_KEY):
                Webhook(key).verify(body, said, json_parse=False)
        assert [said["webhook-id"] for said, _ in found] == [OID, OID]
        assert msgspec.json.decode(found[0][1])["id"] == OID

    def test_carries_no_signature_without_keys(self) -> None:
        assert [name for said, _ in self.posted(Keys()) for name in said if "webhook" in name.lower()] == []


@pytest.mark.parametrize("length", [b"3", b"1000000"])
def test_a_gateway_that_drips_its_answer_holds_no_attempt(length: bytes) -> None:
    """The status comes first and says it all; the rest is read only where it comes at once."""
    with socket.create_server(("127.0.0.1", 0)) as listening:

        def drip() -> None:
            line, _ = listening.accept()
            with line:
                line.recv(65536)
                line.sendall(b"HTTP/1.1 200 OK\r\ncontent-length: " + length + b"\r\n\r\nx")
                line.recv(65536)  # until the other side has had enough

        dripping = threading.Thread(target=drip, daemon=True)
        dripping.start()
        post = http_post(f"http://127.0.0.1:{listening.getsockname()[1]}/sms", Keys(), StandingClock())
        answer = post(OID, b"{}", lambda: True)
        dripping.join(TIMEOUT_S / 2)

    assert answer == Response(200)
    assert not dripping.is_alive()

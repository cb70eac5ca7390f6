import socket
import struct
import threading
import time

import httpx
import pytest

from simulator.gateway import Gateway, PortTaken
from simulator.wire import ServiceRefused
from tests.simulator.conftest import ANN

MESSAGE = {"id": "o1", "from": "2500", "to": ANN, "text": "Hello", "alphabet": "gsm7", "segments": 1}


def post(gateway, **changes):
    return httpx.post(gateway.address, json=MESSAGE | changes, trust_env=False)


def eventually(holds, patience_s=10.0):
    until_s = time.monotonic() + patience_s
    while not holds() and time.monotonic() < until_s:
        time.sleep(0.01)
    return holds()


class TestDelivery:
    def test_a_message_arrives_in_the_inbox_of_its_phone(self, gateway):
        answer = post(gateway)

        assert (answer.status_code, answer.json()) == (202, {"id": "o1"})
        assert [sms.text for sms in gateway.inbox(ANN)] == ["Hello"]
        assert gateway.inbox("+99900500002") == ()

    def test_any_path_of_the_address_will_do(self, gateway):
        assert httpx.post(f"{gateway.address}/out", json=MESSAGE, trust_env=False).status_code == 202

    def test_a_resend_with_the_same_id_is_the_same_message(self, gateway):
        answers = [post(gateway).status_code for _ in range(3)]

        assert answers == [202, 202, 202]
        assert len(gateway.inbox(ANN)) == 1

    def test_another_message_under_a_used_id_is_refused(self, gateway):
        post(gateway)
        answer = post(gateway, text="Other")

        assert answer.status_code == 409
        assert [sms.text for sms in gateway.inbox(ANN)] == ["Hello"]

    def test_resends_at_the_same_time_arrive_once(self, gateway):
        threads = [threading.Thread(target=post, args=(gateway,)) for _ in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()

        assert len(gateway.inbox(ANN)) == 1

    def test_who_waits_gets_the_message_when_it_comes(self, gateway):
        threading.Timer(0.1, post, args=(gateway,)).start()

        assert len(gateway.wait(ANN, 1, 10)) == 1

    def test_who_waits_in_vain_gets_what_there_is(self, gateway):
        post(gateway)

        assert len(gateway.wait(ANN, 2, 0.05)) == 1

    def test_a_listener_hears_each_message_once(self, gateway):
        heard = []
        gateway.listen(lambda: heard.append("!"))
        post(gateway)
        post(gateway)

        assert heard == ["!"]


class TestRefusals:
    def test_a_number_that_a_network_could_reach_is_refused(self, gateway):
        answer = post(gateway, to="+10000000000")

        assert answer.status_code == 403
        assert answer.headers["Content-Type"] == "application/problem+json"
        assert "+999" in answer.json()["title"]
        assert gateway.inbox("+10000000000") == ()

    @pytest.mark.parametrize(
        ("changes", "status", "says"),
        [
            ({"text": 7}, 400, "field text is 7, must be a str"),
            ({"segments": True}, 400, "field segments is True"),
            ({"segments": None}, 400, "field segments is None"),
            ({"extra": 1}, 400, "field extra is not in the contract"),
            ({"alphabet": "latin1"}, 422, "must be gsm7 or ucs2"),
            ({"text": "façade"}, 422, "holds characters outside it"),
            ({"segments": 2}, 422, "5 units take 1"),
            ({"text": "a" * 161}, 422, "161 units take 2"),
            ({"alphabet": "ucs2", "text": "a" * 71}, 422, "71 units take 2"),
        ],
        ids=lambda value: str(value)[:30],
    )
    def test_a_message_outside_the_contract_is_refused_with_its_reason(self, gateway, changes, status, says):
        answer = post(gateway, **changes)

        assert answer.status_code == status
        assert says in answer.json()["title"]
        assert any(says in trouble for trouble in gateway.troubles)
        assert gateway.inbox(ANN) == ()

    @pytest.mark.parametrize("body", [b"", b"[]", b"{", b"\xff"])
    def test_a_body_that_is_no_object_is_refused(self, gateway, body):
        assert httpx.post(gateway.address, content=body, trust_env=False).status_code == 400

    def test_a_body_that_is_too_large_is_refused(self, gateway):
        answer = httpx.post(gateway.address, content=b"x" * 70_000, trust_env=False)

        assert answer.status_code == 413

    def test_a_delivery_that_breaks_off_is_noted_and_prints_nothing(self, gateway, capfd):
        port = int(gateway.address.rpartition(":")[2])
        with socket.create_connection(("127.0.0.1", port)) as line:
            line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
            line.sendall(b"POST / HTTP/1.0\r\nContent-Length: 50\r\n\r\nabc")

        assert post(gateway).status_code == 202
        assert eventually(lambda: any("a delivery broke off" in trouble for trouble in gateway.troubles))
        assert capfd.readouterr().err == ""

    def test_a_taken_port_is_said_with_a_way_out(self, gateway):
        port = int(gateway.address.rpartition(":")[2])
        with pytest.raises(PortTaken, match=f"port {port} is taken: leave it out"):
            Gateway(port)


class TestReceipts:
    def test_each_message_is_confirmed_once(self, gateway):
        confirmed, done = [], threading.Event()

        def confirm(message_id):
            confirmed.append(message_id)
            if message_id == "o2":
                done.set()

        gateway.send_receipts(confirm)
        for name in ("o1", "o1", "o2"):
            post(gateway, id=name)

        assert done.wait(10)
        assert confirmed == ["o1", "o2"]

    def test_a_receipt_that_the_service_refuses_is_noted(self):
        def refuse(message_id):
            raise ServiceRefused("POST /gateway/receipts", 400, "no such field")

        with Gateway() as gateway:
            gateway.send_receipts(refuse)
            post(gateway)

        assert gateway.troubles == (
            "no receipt for o1: the service refused POST /gateway/receipts with 400: no such field",
        )

"""What the gateway sends and what it is answered: screens, SMS, receipts, and problem documents for the rest."""

from __future__ import annotations

import json
from typing import Any

import pytest
from flask.testing import FlaskClient

from advisor.store.api import Change, Conflict, StoreUnavailable, Verdict
from advisor.store.memory import DictStore
from tests.gateway.asking import ADDRESSES, post, problem_in
from tests.gateway.bodies import ANN, receipt, sms, ussd
from tests.gateway.conftest import Serve
from tests.service.stage import StandingClock, breaks, says


class TestUssd:
    @pytest.mark.parametrize("event", ["begin", "answer"])
    def test_is_answered_with_a_screen(self, client: FlaskClient, event: str) -> None:
        response = post(client, "/gateway/ussd", ussd(event=event))

        assert (response.status_code, response.mimetype) == (200, "application/json")
        assert response.get_json() == {"text": "You typed 2", "open": True}

    def test_that_is_cancelled_is_answered_with_nothing(self, client: FlaskClient) -> None:
        response = post(client, "/gateway/ussd", ussd(event="cancel", input=""))

        assert (response.status_code, response.get_json()) == (200, {"text": "", "open": False})

    def test_again_under_the_same_id_is_answered_alike_however_it_is_spelt(self, client: FlaskClient) -> None:
        first = post(client, "/gateway/ussd", ussd())
        spelt = json.dumps(dict(reversed(ussd(at="2027-03-01T10:30:00+03:00").items())), indent=2)

        again = client.post("/gateway/ussd", data=spelt, content_type="application/json; charset=utf-8")

        assert (again.status_code, again.data) == (200, first.data)

    @pytest.mark.parametrize("changed", [{"input": "3"}, {"session": "s2"}, {"event": "begin"}, {"to": "1"}])
    def test_with_another_body_under_the_same_id_is_a_conflict(
        self, client: FlaskClient, changed: dict[str, str]
    ) -> None:
        post(client, "/gateway/ussd", ussd())

        response = post(client, "/gateway/ussd", ussd(**changed))

        assert response.status_code == 409
        assert problem_in(response)["field"] == "id"

    def test_of_long_ago_is_answered(self, client: FlaskClient) -> None:
        response = post(client, "/gateway/ussd", ussd(at="2027-02-01T00:00:00Z"))

        assert (response.status_code, response.get_json()) == (200, {"text": "", "open": False})


class TestSms:
    def test_is_taken_under_its_id(self, client: FlaskClient) -> None:
        response = post(client, "/gateway/sms", sms())

        assert (response.status_code, response.get_json()) == (202, {"id": "t1"})

    def test_and_ussd_do_not_share_an_id(self, client: FlaskClient) -> None:
        post(client, "/gateway/ussd", ussd(id="x"))

        assert post(client, "/gateway/sms", sms(id="x")).status_code == 409

    @pytest.mark.parametrize("text", ["", " ", "नमस्ते", "\x00", "😀", "x" * 50_000])
    def test_may_hold_any_text(self, client: FlaskClient, text: str) -> None:
        assert post(client, "/gateway/sms", sms(text=text)).status_code == 202


class TestReceipts:
    @pytest.mark.parametrize("status", ["delivered", "failed", "expired"])
    @pytest.mark.parametrize("oid", ["b07-3a9c", "b07-3a9c5500", "not one of ours", "b07-" + "é" * 100])
    def test_early_twice_or_for_nobody_are_taken(self, client: FlaskClient, oid: str, status: str) -> None:
        for _ in range(2):
            response = post(client, "/gateway/receipts", receipt(id=oid, status=status))

            assert (response.status_code, response.data) == (204, b"")


class TestWhatPhonesAndNetworksDoToAMessage:
    @pytest.mark.parametrize("half", ["\\ud83d", "\\ude00", "\\ude00\\ud83d"])
    def test_half_an_emoji_is_read_as_what_it_shows_as(self, client: FlaskClient, half: str) -> None:
        body = json.dumps(ussd(input="x")).replace('"x"', f'"x{half}"')

        responses = [client.post("/gateway/ussd", data=body, content_type="application/json") for _ in range(2)]

        shown = "You typed x" + "\N{REPLACEMENT CHARACTER}" * (len(half) // 6)
        assert [response.get_json()["text"] for response in responses] == [shown] * 2

    def test_a_whole_emoji_stays(self, client: FlaskClient) -> None:
        assert post(client, "/gateway/ussd", ussd(input="😀")).get_json()["text"] == "You typed 😀"

    @pytest.mark.parametrize(
        "at",
        ["2027-03-01t07:30:00z", "2027-03-01T07:29:60Z", "2027-03-01T07:30:00.123456789Z", "2027-03-01T07:40:00Z"],
    )
    def test_every_spelling_of_a_moment_is_read_and_ten_minutes_ahead_is_now(
        self, client: FlaskClient, at: str
    ) -> None:
        assert post(client, "/gateway/ussd", ussd(at=at)).status_code == 200

    def test_the_future_is_told_by_the_clock_of_a_demonstration_too(self, serve: Serve) -> None:
        client = serve(demo=True)
        ahead = ussd(at="2027-03-08T07:30:00Z")
        early = post(client, "/gateway/ussd", ahead)
        post(client, "/demo/clock", {"at": ahead["at"]})

        assert (early.status_code, problem_in(early)["field"]) == (422, "at")
        assert post(client, "/gateway/ussd", ahead).status_code == 200

    @pytest.mark.parametrize("path", ADDRESSES)
    def test_the_future_is_refused_everywhere(self, client: FlaskClient, path: str) -> None:
        response = post(client, path, ADDRESSES[path](at="2027-03-01T07:40:01Z"))

        assert (response.status_code, problem_in(response)["field"]) == (422, "at")


class TestAnyOtherRequest:
    @pytest.mark.parametrize("path", [*ADDRESSES, "/health", "/metrics", "/openapi.json"])
    def test_with_another_method_is_told_the_right_one(self, client: FlaskClient, path: str) -> None:
        response = client.delete(path)

        assert response.status_code == 405
        assert problem_in(response)["reason"] == "method_not_allowed"
        assert problem_in(response)["field"] == "method"
        assert ("POST" if path in ADDRESSES else "GET") in response.headers["Allow"]

    @pytest.mark.parametrize("path", ["/", "/gateway", "/gateway/ussd/", "/static/x", "/demo/clock"])
    def test_for_what_is_not_there_is_a_problem_document(self, client: FlaskClient, path: str) -> None:
        response = client.get(path)

        assert response.status_code == 404
        assert problem_in(response)["field"] == "path"


class TestTrouble:
    def test_with_the_store_asks_for_a_repeat(self, serve: Serve) -> None:
        class Away(DictStore):
            def read(self, number_hash: str, message: str) -> Any:
                raise StoreUnavailable("away", retry_after_s=5)

        response = post(serve(store=Away()), "/gateway/ussd", ussd())

        assert (response.status_code, response.headers["Retry-After"]) == (503, "5")
        problem_in(response)

    def test_with_other_writers_asks_for_a_repeat(self, serve: Serve) -> None:
        class Contested(DictStore):
            def commit(self, change: Change) -> Verdict:
                return Conflict()

        response = post(serve(store=Contested()), "/gateway/ussd", ussd())

        assert (response.status_code, response.headers["Retry-After"]) == (503, "1")

    def test_of_ours_asks_twice_for_a_repeat_then_answers(self, serve: Serve) -> None:
        client = serve(breaks)

        responses = [post(client, "/gateway/ussd", ussd()) for _ in range(4)]

        assert [response.status_code for response in responses] == [500, 500, 200, 200]
        assert problem_in(responses[0])["reason"] == "fault"
        assert responses[2].get_json() == {"text": "Please try later (en)", "open": False}

    def test_that_nobody_foresaw_is_a_problem_document_too(self, serve: Serve) -> None:
        class Odd(DictStore):
            def read(self, number_hash: str, message: str) -> Any:
                raise KeyError(ANN)

        response = post(serve(store=Odd()), "/gateway/ussd", ussd())

        assert response.status_code == 500
        assert ANN not in response.get_data(as_text=True)
        problem_in(response)

    def test_at_the_start_is_over_when_the_store_comes(self, serve: Serve) -> None:
        class Slow(DictStore):
            away = True

            def open(self) -> None:
                if self.away:
                    raise StoreUnavailable("not there yet")

        store, clock = Slow(), StandingClock()
        client = serve(store=store, clock=clock)
        early = post(client, "/gateway/ussd", ussd())
        store.away = False
        clock.wait(1)

        assert (early.status_code, post(client, "/gateway/ussd", ussd()).status_code) == (503, 200)

    def test_at_the_start_keeps_no_bad_body_from_its_answer(self, serve: Serve) -> None:
        class Never(DictStore):
            def open(self) -> None:
                raise StoreUnavailable("not there yet")

        client = serve(store=Never(), demo=True)

        bad = [post(client, path, body(at="noon")).status_code for path, body in ADDRESSES.items()]

        assert bad == [422, 422, 422]
        assert client.get("/demo/session?from=nobody").status_code == 422

    def test_with_the_store_never_shows_its_address(self, serve: Serve) -> None:
        class Away(DictStore):
            def read(self, number_hash: str, message: str) -> Any:
                raise StoreUnavailable("Error 111 connecting to 10.0.0.7:6379")

        client = serve(store=Away(), demo=True)

        responses = (post(client, "/gateway/ussd", ussd()), client.get("/demo/session?from=%2B999001112233"))

        assert [response.status_code for response in responses] == [503, 503]
        assert [response for response in responses if "10.0.0.7" in response.get_data(as_text=True)] == []


class TestTheLog:
    def test_never_holds_a_number_a_name_or_a_text(self, serve: Serve, caplog: pytest.LogCaptureFixture) -> None:
        caplog.set_level("DEBUG")
        secrets = [ANN, ANN[1:], "Zawadi", "mbegu"]
        calm, faulty = serve(says("Thank you, Zawadi")), serve(breaks)
        for client in (calm, faulty):
            for _ in range(3):
                post(client, "/gateway/ussd", ussd(input="mbegu Zawadi"))
                post(client, "/gateway/sms", sms(text="mbegu Zawadi"))
                post(client, "/gateway/sms", sms(text="mbegu Zawadi", from_="Zawadi"))

        lines = [record.getMessage() + str(record.exc_info or "") for record in caplog.records]

        assert any(line.startswith("event=message channel=ussd") for line in lines)
        assert any(line.startswith("event=stumble") for line in lines)
        assert [line for line in lines if any(secret in line for secret in secrets)] == []

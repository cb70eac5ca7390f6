"""What the gateway sends and what it is answered: screens, SMS, receipts, and problem documents for the rest."""

from __future__ import annotations

import json
from typing import Any

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from advisor.gateway.bodies import BODY_LIMIT_BYTES
from advisor.store.api import Change, Conflict, StoreUnavailable, Verdict
from advisor.store.memory import DictStore
from tests.gateway.bodies import ANN, receipt, sms, ussd, without
from tests.gateway.conftest import Serve
from tests.service.stage import breaks, says

ADDRESSES = {"/gateway/ussd": ussd, "/gateway/sms": sms, "/gateway/receipts": receipt}
FIELDS = [(path, name) for path, body in ADDRESSES.items() for name in body()]


def post(client: FlaskClient, path: str, body: object, **options: Any) -> TestResponse:
    return client.post(path, json=body, **options)


def problem_in(response: TestResponse) -> dict[str, Any]:
    """The problem document of a response, in its one shape."""
    assert response.mimetype == "application/problem+json"
    document = response.get_json()
    assert document["status"] == response.status_code
    assert {"type", "title", "detail", "reason"} <= document.keys()
    return document


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


class TestABadBody:
    @pytest.mark.parametrize(("path", "name"), FIELDS)
    def test_without_a_field_names_it(self, client: FlaskClient, path: str, name: str) -> None:
        response = post(client, path, without(ADDRESSES[path](), name))

        assert response.status_code == 422
        assert problem_in(response)["field"] == name

    @pytest.mark.parametrize(("path", "name"), FIELDS)
    @pytest.mark.parametrize("wrong", [None, 7, True, ["x"], {"x": "y"}])
    def test_with_a_field_of_another_type_names_it(
        self, client: FlaskClient, path: str, name: str, wrong: object
    ) -> None:
        response = post(client, path, ADDRESSES[path]() | {name: wrong})

        assert response.status_code == 422
        assert problem_in(response)["field"] == name

    @pytest.mark.parametrize("path", ADDRESSES)
    def test_with_a_field_that_nobody_knows_names_it(self, client: FlaskClient, path: str) -> None:
        response = post(client, path, ADDRESSES[path](extra=[[[[]]]]))

        assert response.status_code == 422
        assert problem_in(response)["field"] == "extra"

    @pytest.mark.parametrize(
        ("name", "wrong"),
        [
            ("event", "resume"),
            ("event", "sms"),
            ("event", ""),
            ("id", ""),
            ("id", "x" * 129),
            ("session", ""),
            ("session", "x" * 129),
            ("to", ""),
            ("from", "999001112233"),
            ("from", "+0999001112233"),
            ("from", "+99900"),
            ("from", "+9990011122334455"),
            ("from", "+999001112233\n"),
            ("from", " +999001112233"),
            ("from", "+999 001 112 233"),
            ("from", "+९९९००१११२२३३"),
            ("at", "2027-03-01T07:30:00"),
            ("at", "2027-03-01"),
            ("at", "yesterday"),
            ("at", "2027-02-30T00:00:00Z"),
            ("at", "0001-01-01T00:00:00+14:00"),
            ("at", "9999-12-31T23:59:59-14:00"),
        ],
    )
    def test_with_a_field_out_of_range_names_it(self, client: FlaskClient, name: str, wrong: str) -> None:
        response = post(client, "/gateway/ussd", ussd(**{name: wrong}))

        assert response.status_code == 422
        assert problem_in(response)["field"] == name

    @pytest.mark.parametrize("number", ["+9990011", "+999001112233445"])
    def test_is_not_one_with_the_shortest_or_longest_number(self, client: FlaskClient, number: str) -> None:
        assert post(client, "/gateway/ussd", ussd(from_=number)).status_code == 200

    @pytest.mark.parametrize(
        "body",
        [
            b"",
            b"{",
            b"not json",
            b'{"id": NaN}',
            b"\xff\xfe",
            b'{"id":"\xff"}',
            b'{"id":"\\ud800"}',
            b"\xef\xbb\xbf{}",
            b"[" * 100_000,
            b'{"id":' * 40_000,
        ],
    )
    def test_that_is_no_json_is_told_so(self, client: FlaskClient, body: bytes) -> None:
        response = client.post("/gateway/ussd", data=body, content_type="application/json")

        assert response.status_code in (400, 422)
        assert problem_in(response)["reason"] in ("bad_json", "bad_field")

    @pytest.mark.parametrize("body", [b"[]", b'"text"', b"7", b"null"])
    def test_that_is_no_object_is_told_so(self, client: FlaskClient, body: bytes) -> None:
        response = client.post("/gateway/ussd", data=body, content_type="application/json")

        assert (response.status_code, problem_in(response)["field"]) == (422, "body")

    @pytest.mark.parametrize("media_type", [None, "text/plain", "application/x-www-form-urlencoded"])
    def test_of_another_media_type_is_told_so(self, client: FlaskClient, media_type: str | None) -> None:
        response = client.post("/gateway/ussd", data=json.dumps(ussd()), content_type=media_type)

        assert response.status_code == 415
        problem_in(response)

    def test_that_is_too_long_is_told_so(self, client: FlaskClient) -> None:
        response = post(client, "/gateway/sms", sms(text="x" * BODY_LIMIT_BYTES))

        assert response.status_code == 413
        problem_in(response)

    def test_just_under_the_limit_is_taken(self, client: FlaskClient) -> None:
        empty = len(json.dumps(sms(text="")))

        assert post(client, "/gateway/sms", sms(text="x" * (BODY_LIMIT_BYTES - empty))).status_code == 202

    def test_stores_nothing(self, serve: Serve) -> None:
        class Untouched(DictStore):
            def read(self, number_hash: str, message: str) -> Any:
                raise AssertionError("nothing is read")

            def commit(self, change: Change) -> Verdict:
                raise AssertionError("nothing is written")

        response = post(serve(store=Untouched()), "/gateway/ussd", ussd(event="resume"))

        assert response.status_code == 422


class TestAnyOtherRequest:
    @pytest.mark.parametrize("path", [*ADDRESSES, "/health", "/metrics", "/openapi.json"])
    def test_with_another_method_is_told_the_right_one(self, client: FlaskClient, path: str) -> None:
        response = client.delete(path)

        assert response.status_code == 405
        assert problem_in(response)["reason"] == "method_not_allowed"
        assert ("POST" if path in ADDRESSES else "GET") in response.headers["Allow"]

    @pytest.mark.parametrize("path", ["/", "/gateway", "/gateway/ussd/", "/static/x", "/demo/clock"])
    def test_for_what_is_not_there_is_a_problem_document(self, client: FlaskClient, path: str) -> None:
        response = client.get(path)

        assert response.status_code == 404
        problem_in(response)


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

        store = Slow()
        client = serve(store=store)
        early = post(client, "/gateway/ussd", ussd())
        store.away = False

        assert (early.status_code, post(client, "/gateway/ussd", ussd()).status_code) == (503, 200)


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

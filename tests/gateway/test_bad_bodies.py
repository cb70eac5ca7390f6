"""What the gateway is told of a body that cannot be taken: which field is at fault, and what to give."""

from __future__ import annotations

import io
import json
from typing import Any

import pytest
from flask.testing import FlaskClient

from advisor.gateway.arriving import BODY_LIMIT_BYTES
from advisor.gateway.messages import SHAPES
from advisor.store.api import Change, Verdict
from advisor.store.memory import DictStore
from tests.gateway.asking import ADDRESSES, in_chunks, post, problem_in
from tests.gateway.bodies import sms, ussd, without
from tests.gateway.conftest import Serve

FIELDS = [(path, name) for path, body in ADDRESSES.items() for name in body()]


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
            ("at", "2027-03-01 07:30:00Z"),
            ("at", "2027-03-01T07:30:00+0300"),
            ("at", "2027-03-01T07:30:00+03"),
            ("at", "2027-03-01T07:30Z"),
            ("at", "2027-03-01T07:30:61Z"),
            ("at", "2027-03-01T07:30:00Z\n"),
            ("at", "२०२७-03-01T07:30:00Z"),
            ("at", "2027-03-01T07:40:00.001Z"),
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

    @pytest.mark.parametrize(
        ("body", "detail"),
        [
            (ussd(from_="0712345678"), "from: give + and country code, like +99900112233"),
            (ussd(from_=7), "from: give + and country code, like +99900112233"),
            (ussd(at="2027-03-01T08:00:00"), "at: give a time with an offset, like 2027-03-01T08:00:00+03:00"),
            (ussd(at="noon"), "at: give a time with an offset, like 2027-03-01T08:00:00+03:00"),
            (ussd(event="resume"), "event: give begin, answer or cancel"),
            (without(ussd(), "event"), "event is missing: give begin, answer or cancel"),
            (ussd(colour="red"), "colour is no field of this message: leave it out"),
            (ussd(**{"x - at `$.y`": 1}), "x - at `$.y` is no field of this message: leave it out"),
        ],
    )
    def test_is_told_in_plain_words_what_to_give(
        self, client: FlaskClient, body: dict[str, Any], detail: str
    ) -> None:
        assert problem_in(post(client, "/gateway/ussd", body))["detail"] == detail

    @pytest.mark.parametrize(("path", "name"), FIELDS)
    def test_is_told_an_example_or_a_range_for_every_field(
        self, client: FlaskClient, path: str, name: str
    ) -> None:
        detail = problem_in(post(client, path, ADDRESSES[path]() | {name: 7}))["detail"]

        assert detail == f"{name}: {SHAPES[name]}"

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
            b'{"id":"x\ty"}',
            b"\xef\xbb\xbf{}",
            b"[" * 100_000,
            b'{"id":' * 40_000,
        ],
    )
    def test_that_is_no_json_is_told_so(self, client: FlaskClient, body: bytes) -> None:
        response = client.post("/gateway/ussd", data=body, content_type="application/json")

        assert response.status_code in (400, 422)
        assert problem_in(response)["reason"] in ("bad_json", "bad_field")
        assert problem_in(response)["field"] in ("body", "id")

    @pytest.mark.parametrize("body", [b"[]", b'"text"', b"7", b"null"])
    def test_that_is_no_object_is_told_so(self, client: FlaskClient, body: bytes) -> None:
        response = client.post("/gateway/ussd", data=body, content_type="application/json")

        assert (response.status_code, problem_in(response)["field"]) == (422, "body")

    @pytest.mark.parametrize("media_type", [None, "text/plain", "application/x-www-form-urlencoded"])
    def test_of_another_media_type_is_told_so(self, client: FlaskClient, media_type: str | None) -> None:
        response = client.post("/gateway/ussd", data=json.dumps(ussd()), content_type=media_type)

        assert response.status_code == 415
        assert problem_in(response)["field"] == "content-type"

    @pytest.mark.parametrize(
        "media_type", ["application/json; charset=utf-16", "application/json; charset=latin-1"]
    )
    def test_in_another_charset_is_told_so(self, client: FlaskClient, media_type: str) -> None:
        response = client.post("/gateway/ussd", data=json.dumps(ussd()), content_type=media_type)

        assert (response.status_code, problem_in(response)["field"]) == (415, "content-type")

    @pytest.mark.parametrize(("encoding", "status"), [("gzip", 415), ("br", 415), ("identity", 200)])
    def test_that_is_compressed_is_told_so(self, client: FlaskClient, encoding: str, status: int) -> None:
        response = post(client, "/gateway/ussd", ussd(), headers={"Content-Encoding": encoding})

        assert response.status_code == status

    def test_with_a_field_twice_names_it(self, client: FlaskClient) -> None:
        body = json.dumps(ussd()).replace("{", '{"input": "3", ', 1)

        response = client.post("/gateway/ussd", data=body, content_type="application/json")

        assert (response.status_code, problem_in(response)["field"]) == (400, "input")

    def test_that_is_too_long_is_told_so(self, client: FlaskClient) -> None:
        response = post(client, "/gateway/sms", sms(text="x" * BODY_LIMIT_BYTES))

        assert response.status_code == 413
        assert problem_in(response)["field"] == "body"

    @pytest.mark.parametrize("extra", [0, 1, 500_000])
    def test_in_chunks_that_is_too_long_is_told_so_and_never_taken_in_part(
        self, client: FlaskClient, extra: int
    ) -> None:
        # spaces to the limit: what remains after a cut would be a good body
        sent = json.dumps(sms()).encode().ljust(BODY_LIMIT_BYTES) + b" " * extra

        response = client.post("/gateway/sms", **in_chunks(sent))

        assert response.status_code == (413 if extra else 202)

    @pytest.mark.parametrize("error", [OSError("gone"), EOFError("gone"), ValueError("bad chunk")])
    def test_that_breaks_off_is_told_so(self, client: FlaskClient, error: Exception) -> None:
        class Broken(io.BytesIO):
            def read(self, size: int | None = -1) -> bytes:
                raise error

        response = client.post("/gateway/sms", **in_chunks(b"") | {"input_stream": Broken()})

        assert response.status_code == (408 if isinstance(error, OSError) else 400)
        assert problem_in(response)["field"] == "body"

    def test_shorter_than_it_says_is_not_taken(self, client: FlaskClient) -> None:
        body = json.dumps(sms()).encode()

        response = client.post(
            "/gateway/sms",
            input_stream=io.BytesIO(body),
            content_type="application/json",
            environ_overrides={"CONTENT_LENGTH": str(len(body) + 1)},
        )

        assert (response.status_code, problem_in(response)["field"]) == (408, "body")

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

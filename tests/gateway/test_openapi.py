"""The OpenAPI document is valid, and what it says is what happens: both ways, with made-up requests."""

from __future__ import annotations

import json
from typing import Any

import msgspec
import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis_jsonschema import from_schema
from jsonschema import Draft202012Validator
from openapi_spec_validator import validate
from werkzeug.test import TestResponse

from advisor.dialogue.talk import Agree, Keep
from advisor.gateway.openapi import document
from advisor.service.outgoing import Parcel, delivery_of
from advisor.store.api import StoreUnavailable
from advisor.store.memory import DictStore
from tests.gateway.bodies import receipt, sms, ussd, without
from tests.gateway.conftest import Serve
from tests.gateway.signed import KEY, headers
from tests.service.stage import NOW, breaks, says, session
from tests.whole.services import OPEN

DOCUMENT = document(demo=True, signed=False)
SIGNED = document(demo=False, signed=True)
BODIES = {"/gateway/ussd": ussd(), "/gateway/sms": sms(), "/gateway/receipts": receipt()}
SAME_APPLICATION = settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    deadline=None,
    max_examples=60,
)


def resolved(schema: dict[str, Any]) -> dict[str, Any]:
    """A schema that stands alone."""
    return schema | {"components": DOCUMENT["components"]}


def fits(value: object, schema: dict[str, Any]) -> bool:
    return Draft202012Validator(resolved(schema)).is_valid(value)


def body_schema(path: str) -> dict[str, Any]:
    return DOCUMENT["paths"][path]["post"]["requestBody"]["content"]["application/json"]["schema"]


def plain_schema(path: str) -> dict[str, Any]:
    """The schema of a body with its reference followed."""
    return DOCUMENT["components"]["schemas"][body_schema(path)["$ref"].rpartition("/")[2]]


def allowed(path: str) -> st.SearchStrategy[dict[str, Any]]:
    """Bodies that the schema allows; field by field, since every field is required and none may be added."""
    schema = plain_schema(path)
    assert set(schema["required"]) == set(schema["properties"])
    assert schema["additionalProperties"] is False
    return st.fixed_dictionaries({name: from_schema(field) for name, field in schema["properties"].items()})


def assert_as_described(
    path: str, method: str, response: TestResponse, document: dict[str, Any] = DOCUMENT
) -> None:
    """Status, media type, headers and body are among those that the document names."""
    described = document["paths"][path][method]["responses"]
    answer = described[str(response.status_code)]
    if "content" not in answer:
        assert (response.data, "Content-Type" in response.headers) == (b"", False)
        return
    (media_type, content), *_ = answer["content"].items()
    assert response.mimetype == media_type
    for name, header in answer.get("headers", {}).items():
        assert not header["required"] or name in response.headers
    value = response.get_data(as_text=True) if media_type == "text/plain" else response.get_json()
    Draft202012Validator(resolved(content["schema"])).validate(value)


@pytest.mark.parametrize("demo", [True, False])
def test_the_document_is_valid(demo: bool) -> None:
    validate(document(demo=demo, signed=not demo))


def test_the_served_document_is_this_one(serve: Serve) -> None:
    for demo in (True, False):
        response = serve(demo=demo).get("/openapi.json")

        assert (response.status_code, response.mimetype) == (200, "application/json")
        assert response.get_json() == json.loads(json.dumps(document(demo=demo, signed=False)))


def test_every_route_is_in_the_document(serve: Serve) -> None:
    routes = {
        (rule.rule, method.lower())
        for rule in serve(demo=True).application.url_map.iter_rules()
        for method in rule.methods - {"HEAD", "OPTIONS"}
    }

    assert routes == {(path, method) for path, methods in DOCUMENT["paths"].items() for method in methods}


def test_the_examples_of_these_tests_fit() -> None:
    for path, body in BODIES.items():
        assert fits(body, body_schema(path))
        assert not fits(without(body, "at"), body_schema(path))


@pytest.mark.parametrize("path", BODIES)
def test_good_and_bad_answers_are_as_described(serve: Serve, path: str) -> None:
    client = serve(demo=True)
    body = BODIES[path]

    for response in (
        client.post(path, json=body),
        client.post(path, json=body | {"at": "2027-03-01T07:31:00Z"}),
        client.post(path, json=without(body, "at")),
        client.post(path, data=b"{", content_type="application/json"),
        client.post(path, data=b"x" * 300_000, content_type="application/json"),
        client.post(path, data=b"{}", content_type="text/plain"),
        client.post(path, data=b"{}", content_type="application/json", headers={"Content-Encoding": "gzip"}),
        client.put(path, json=body),
    ):
        assert_as_described(path, "post", response)


@pytest.mark.parametrize("path", BODIES)
def test_what_is_turned_away_at_the_door_is_as_described(serve: Serve, path: str) -> None:
    speaking = {
        "SOWING_INBOUND_KEYS": KEY,
        "SOWING_SPEAKERS": "127.0.0.1 192.0.2.0/24",
        "SOWING_PROXIES": "10.0.0.1",
    }
    client = serve(speaking=speaking | {"SOWING_ADDRESS_RATE": "3"})
    body = json.dumps(BODIES[path]).encode()
    said = headers(body, NOW.timestamp()) | {"Content-Type": "application/json"}

    answers = [
        client.post(path, data=body, headers=said),
        client.post(path, data=body),
        client.post(path, data=body, headers=said | {"webhook-timestamp": "1"}),
        client.post(path, data=body, headers=said),
        client.post(path, data=body, headers=said, environ_base={"REMOTE_ADDR": "203.0.113.9"}),
        client.post(path, data=body, headers={"X-Forwarded-For": "?"}, environ_base={"REMOTE_ADDR": "10.0.0.1"}),
    ]

    assert [answer.status_code for answer in answers][1:] == [401, 401, 429, 403, 400]
    assert answers[0].status_code < 300
    for answer in answers:
        assert_as_described(path, "post", answer, SIGNED)


@pytest.mark.parametrize("path", ["/health", "/metrics"])
def test_who_may_not_look_is_told_so_as_described(serve: Serve, path: str) -> None:
    answer = serve(speaking=OPEN).get(path, environ_base={"REMOTE_ADDR": "203.0.113.9"})

    assert answer.status_code == 403
    assert_as_described(path, "get", answer, SIGNED)


def test_the_headers_that_sign_are_described_where_messages_are_signed_and_fit() -> None:
    operations = [
        *(SIGNED["paths"][path]["post"] for path in BODIES),
        SIGNED["webhooks"]["outgoing"]["post"],
    ]
    for operation in operations:
        for described in operation["parameters"]:
            said = headers(b"{}", NOW.timestamp())[described["name"]]
            Draft202012Validator(described["schema"]).validate(said)
        assert operation["security"] == [{"signature": []}]
    assert "parameters" not in DOCUMENT["paths"]["/gateway/ussd"]["post"]


@pytest.mark.parametrize("path", ["/gateway/ussd", "/gateway/sms"])
def test_a_fault_is_answered_as_described(serve: Serve, path: str) -> None:
    client = serve(breaks)

    for _ in range(3):
        assert_as_described(path, "post", client.post(path, json=BODIES[path]))


@pytest.mark.parametrize("path", ["/health", "/metrics", "/openapi.json", "/demo/session", "/demo/book"])
def test_what_can_be_read_is_as_described(serve: Serve, path: str) -> None:
    client = serve(says("Area?", Agree(), Keep("lot.test", (45, 50)), to=session()), demo=True)
    client.post("/gateway/ussd", json=ussd())
    response = client.get(path, query_string={"from": ussd()["from"]} if "session" in path else None)

    assert_as_described(path, "get", response)


def test_without_a_store_it_is_as_described(serve: Serve) -> None:
    class Away(DictStore):
        def read(self, number_hash: str, message: str) -> Any:
            raise StoreUnavailable("away")

        ready = open = backlog = lambda self, *_: self.read("", "")

    client = serve(store=Away(), demo=True)

    for path, body in BODIES.items():
        if path != "/gateway/receipts":
            assert_as_described(path, "post", client.post(path, json=body))
    assert_as_described("/health", "get", client.get("/health"))
    assert_as_described("/metrics", "get", client.get("/metrics"))
    assert_as_described("/demo/session", "get", client.get("/demo/session?from=%2B999001112233"))


def test_what_is_delivered_is_described_without_a_programmer_s_sections() -> None:
    schemas = DOCUMENT["components"]["schemas"]

    assert schemas["Delivery"]["properties"]["alphabet"] == {"enum": ["gsm7", "ucs2"]}
    assert schemas["Delivery"]["properties"]["segments"]["minimum"] == 1
    assert [name for name, schema in schemas.items() if "Args:" in json.dumps(schema)] == []


@pytest.mark.parametrize("at", ["2027-03-01T07:30:00Z", "soon"])
def test_a_move_of_the_clock_is_as_described(serve: Serve, at: str) -> None:
    assert_as_described("/demo/clock", "post", serve(demo=True).post("/demo/clock", json={"at": at}))


@pytest.mark.parametrize("numbers", [["+999001112233"], []])
def test_a_round_that_is_tried_is_as_described(serve: Serve, numbers: list[str]) -> None:
    body = {"round": "seed_test", "numbers": numbers}
    assert fits(body, body_schema("/demo/round")) is bool(numbers)
    assert_as_described("/demo/round", "post", serve(demo=True).post("/demo/round", json=body))


@pytest.mark.parametrize("path", BODIES)
@SAME_APPLICATION
@given(data=st.data())
def test_whatever_the_document_allows_is_taken(client: FlaskClient, path: str, data: st.DataObject) -> None:
    """A repeat of an id with another body is allowed by the schema and answered 409, as described."""
    body = data.draw(allowed(path))

    response = client.post(path, json=body)

    assert response.status_code in (200, 202, 204, 409) or _is_a_moment_we_refuse(body, response)
    assert_as_described(path, "post", response)


@pytest.mark.parametrize("path", BODIES)
@SAME_APPLICATION
@given(data=st.data())
def test_whatever_the_document_forbids_is_refused(client: FlaskClient, path: str, data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(sorted(BODIES[path])))
    body = BODIES[path] | {name: data.draw(ANYTHING)}

    response = client.post(path, json=body)

    if not fits(body, body_schema(path)):
        assert (response.status_code, response.get_json()["field"]) == (422, name)
    assert_as_described(path, "post", response)


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inside: st.lists(inside, max_size=3) | st.dictionaries(st.text(), inside, max_size=3),
    max_leaves=5,
)


def _is_a_moment_we_refuse(body: dict[str, Any], response: TestResponse) -> bool:
    """A schema's format is a note, not a check: the future and years outside the calendar are refused."""
    at = body["at"]
    return response.get_json()["field"] == "at" and (at > "2027-02-28" or at.startswith(("0000", "0001")))


@given(text=st.text(), number=st.integers(10**6, 10**14))
def test_what_is_posted_to_the_gateway_is_as_described(text: str, number: int) -> None:
    delivery = msgspec.to_builtins(delivery_of("b07-1", Parcel(f"+{number}", text), "1212"))
    described = DOCUMENT["webhooks"]["outgoing"]["post"]["requestBody"]["content"]["application/json"]["schema"]

    Draft202012Validator(resolved(described)).validate(delivery)
    assert set(delivery) == {"id", "from", "to", "text", "alphabet", "segments"}

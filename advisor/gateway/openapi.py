"""The OpenAPI 3.1 description, made from the same types that check the bodies, so that it cannot drift."""

from __future__ import annotations

from http import HTTPStatus
from importlib.metadata import version
from typing import Any

import msgspec

from advisor.gateway.messages import (
    E164_PATTERN,
    ClockMove,
    Health,
    Problem,
    Receipt,
    RoundTried,
    SmsMessage,
    SmsTaken,
    UssdMessage,
    UssdReply,
)
from advisor.gateway.problems import CHALLENGE, MEDIA_TYPE
from advisor.gateway.shown import BookShown, FactShown, FaultShown, GrowerShown, SessionShown
from advisor.service.outgoing import Delivery

TYPES = (UssdMessage, UssdReply, SmsMessage, SmsTaken, Receipt, Delivery, Health, Problem, ClockMove, RoundTried)
DEMO_TYPES = (BookShown, FaultShown, GrowerShown, SessionShown, FactShown)

#: Statuses under which any body may be refused, whatever the address.
BODY_PROBLEMS = (400, 408, 413, 415, 422)
#: Statuses under which any request may be refused: no such method, a head that cannot be read, too many of them.
LINE_PROBLEMS = (405, 414, 417, 429, 431, 501)
SIGNED_HEADERS = (
    (
        "webhook-id",
        "The same at every attempt to send a message; it is signed, and not looked at further.",
        {"type": "string", "pattern": r"^[!-+\-/-~]{1,256}$"},
    ),
    (
        "webhook-timestamp",
        "The moment of the attempt in Unix seconds; more than 5 minutes from the service's clock gets 401.",
        {"type": "string", "pattern": "^[0-9]{1,12}$"},
    ),
    (
        "webhook-signature",
        "v1, and the HMAC-SHA256 of id.timestamp.body in Base64; more of them parted by a blank, any may hold.",
        {"type": "string"},
    ),
)
SCHEMES = {
    "securitySchemes": {
        "signature": {
            "type": "apiKey",
            "in": "header",
            "name": "webhook-signature",
            "description": "Standard Webhooks 1.0.0, symmetric",
        }
    }
}
RETRY_AFTER = {"Retry-After": {"required": True, "schema": {"type": "integer", "minimum": 1}}}
DESCRIPTION = (
    "JSON in and out, times in RFC 3339, errors as RFC 9457 problem documents. The id of a message is its "
    "idempotency key, remembered together with the number it came from: the same id again gets the same answer "
    "and has no second effect, with another body it gets 409. A message older than the memory is answered and "
    "changes nothing; one whose time is more than 10 minutes ahead of the service's clock gets 422. A string that "
    "holds half of a surrogate pair is read with U+FFFD in its place. After 500 or 503 "
    "repeat the message with the same id."
)


def document(*, demo: bool, signed: bool) -> dict[str, Any]:
    """The whole description.

    Args:
        demo: whether the addresses of a demonstration are there.
        signed: whether messages are signed.
    """
    types = (*TYPES, *DEMO_TYPES) if demo else TYPES
    _, schemas = msgspec.json.schema_components(types, ref_template="#/components/schemas/{name}")
    for named in types:
        # what a docstring says of arguments is said of each property beside it
        schemas[named.__name__]["description"] = (named.__doc__ or "").partition("\n\n")[0]
    paths: dict[str, Any] = {
        "/gateway/ussd": {"post": _taking("ussd", "One USSD screen", UssdMessage, 200, UssdReply, signed)},
        "/gateway/sms": {"post": _taking("sms", "One SMS from a grower", SmsMessage, 202, SmsTaken, signed)},
        "/gateway/receipts": {
            "post": _taking("receipt", "What became of an outgoing SMS", Receipt, 204, None, signed)
        },
        "/health": {"get": _health()},
        "/metrics": {"get": _plain_get("metrics", "Figures for Prometheus", "text/plain", {"type": "string"})},
        "/openapi.json": {"get": _plain_get("openapi", "This document", "application/json", {"type": "object"})},
    }
    if demo:
        paths |= _demo_paths()
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Sowing advisor",
            "version": version("sowing-advisor"),
            "description": DESCRIPTION,
            "license": {"name": "MIT", "identifier": "MIT"},
        },
        "paths": paths,
        "webhooks": {"outgoing": {"post": _outgoing(signed)}},
        "components": {"schemas": schemas} | (SCHEMES if signed else {}),
    }


def _content(media_type: str, schema: dict[str, Any]) -> dict[str, Any]:
    return {"content": {media_type: {"schema": schema}}}


def _ref(named: type) -> dict[str, Any]:
    return {"$ref": f"#/components/schemas/{named.__name__}"}


def _answer(status: int, named: type | None) -> dict[str, Any]:
    described = {"description": HTTPStatus(status).phrase}
    return described | (_content("application/json", _ref(named)) if named else {})


def _problems(*statuses: int) -> dict[str, Any]:
    answers: dict[str, Any] = {}
    for status in sorted((*statuses, *LINE_PROBLEMS)):
        answer = {"description": HTTPStatus(status).phrase} | _content(MEDIA_TYPE, _ref(Problem))
        if status in (HTTPStatus.SERVICE_UNAVAILABLE, HTTPStatus.TOO_MANY_REQUESTS):
            answer["headers"] = RETRY_AFTER
        if status == HTTPStatus.METHOD_NOT_ALLOWED:
            answer["headers"] = {"Allow": {"required": True, "schema": {"type": "string"}}}
        if status == HTTPStatus.UNAUTHORIZED:
            answer["headers"] = {"WWW-Authenticate": {"required": True, "schema": {"const": CHALLENGE}}}
        answers[str(status)] = answer
    return answers


def _taking(name: str, summary: str, body: type, status: int, reply: type | None, signed: bool) -> dict[str, Any]:
    conflicts = (*((401,) if signed else ()), *((409,) if reply else ()))
    return _signed(signed) | {
        "operationId": name,
        "summary": summary,
        "requestBody": {"required": True} | _content("application/json", _ref(body)),
        "responses": {str(status): _answer(status, reply)} | _problems(*BODY_PROBLEMS, *conflicts, 403, 500, 503),
    }


def _signed(signed: bool) -> dict[str, Any]:
    """What each signed message carries beside its body."""
    if not signed:
        return {}
    headers = [
        {"name": name, "in": "header", "required": True, "description": what, "schema": schema}
        for name, what, schema in SIGNED_HEADERS
    ]
    return {"parameters": headers, "security": [{"signature": []}]}


def _plain_get(name: str, summary: str, media_type: str, schema: dict[str, Any]) -> dict[str, Any]:
    answer = {"description": summary} | _content(media_type, schema)
    return {"operationId": name, "summary": summary, "responses": {"200": answer} | _problems(400, 403, 500)}


def _health() -> dict[str, Any]:
    return {
        "operationId": "health",
        "summary": "Whether the service lives and can take messages",
        "responses": _problems(400, 403, 500)
        | {"200": _answer(200, Health), "503": _answer(503, Health) | {"headers": RETRY_AFTER}},
    }


def _outgoing(signed: bool) -> dict[str, Any]:
    return _signed(signed) | {
        "operationId": "outgoing",
        "summary": "An outgoing SMS, posted to the gateway's address; a resend carries the same id",
        "requestBody": {"required": True} | _content("application/json", _ref(Delivery)),
        "responses": {
            "2XX": {"description": "Taken"},
            "429": {"description": "Nothing is sent until Retry-After is over; then again, with the same id"},
            **{status: {"description": "Later, with the same id"} for status in ("401", "403", "404", "405")},
            **{status: {"description": "Later, with the same id"} for status in ("407", "408", "421", "425")},
            "4XX": {"description": "Refused; not sent again"},
            "503": {"description": "As 429 with Retry-After; without it later, with the same id"},
            "5XX": {"description": "Later, with the same id"},
        },
    }


def _demo_paths() -> dict[str, Any]:
    moved = {"description": "The moment it is now"} | _content("application/json", _ref(ClockMove))
    shown = {"description": "Session, facts and last effects"} | _content("application/json", _ref(GrowerShown))
    told = {"description": "The book in use"} | _content("application/json", _ref(BookShown))
    tried = {"description": "The round that is on trial now"} | _content("application/json", _ref(RoundTried))
    asked = {
        "name": "from",
        "in": "query",
        "required": True,
        "schema": {"type": "string", "pattern": E164_PATTERN},
    }
    return {
        "/demo/clock": {
            "post": {
                "operationId": "moveClock",
                "summary": "Moves the clock of the demonstration",
                "requestBody": {"required": True} | _content("application/json", _ref(ClockMove)),
                "responses": {"200": moved} | _problems(*BODY_PROBLEMS, 500, 503),
            }
        },
        "/demo/round": {
            "post": {
                "operationId": "tryRound",
                "summary": "Tries a round with some phones; a clock that is moved passing stops for its messages",
                "requestBody": {"required": True} | _content("application/json", _ref(RoundTried)),
                "responses": {"200": tried} | _problems(*BODY_PROBLEMS, 500, 503),
            }
        },
        "/demo/session": {
            "get": {
                "operationId": "showSession",
                "summary": "What is known of a made-up grower",
                "parameters": [asked],
                "responses": {"200": shown} | _problems(422, 500, 503),
            }
        },
        "/demo/book": {
            "get": {
                "operationId": "showBook",
                "summary": "The book in use, and what is wrong with its files",
                "responses": {"200": told} | _problems(500),
            }
        },
    }

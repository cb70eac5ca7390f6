"""Errors as RFC 9457 problem documents, for whatever goes wrong on any path."""

from __future__ import annotations

import logging
from http import HTTPStatus

import msgspec
from flask import Flask, Response
from werkzeug.exceptions import HTTPException

from advisor.gateway.messages import Problem
from advisor.service.damage import Damage
from advisor.service.errors import Busy, OtherBody, Stumbled
from advisor.service.journal import log_event, place_of
from advisor.store.api import StoreDamaged, StoreUnavailable

MEDIA_TYPE = "application/problem+json"
CHALLENGE = "StandardWebhooks"
FAULT = "a fault of the service: repeat the message with the same id"


class BadBody(Exception):  # noqa: N818 - named for what is wrong
    """The body of a request cannot be taken.

    Args:
        status: 400 for what is no JSON, 408 for what did not come, 413 for what is too long, 415 for another
            media type, 422 for a wrong field.
        reason: short name for programs.
        detail: what is wrong and what to do.
        field: the field at fault, ``body`` when it is the body as a whole.
    """

    def __init__(self, status: HTTPStatus, reason: str, detail: str, field: str = "body") -> None:
        super().__init__(detail)
        self.status = status
        self.reason = reason
        self.detail = detail
        self.field = field


class Refused(Exception):  # noqa: N818 - named for what happens
    """A request is turned away before anybody looks at what it says.

    Args:
        status: 400 for a header that cannot be read, 401 for what is not signed, 403 for an address that is not on
            the list, 429 for one that asks too often.
        reason: short name for programs.
        detail: what is wrong and what to do; the same whoever is meant.
        field: the header at fault, ``address`` or ``from``.
        retry_after_s: seconds after which to ask again, None for no such thing.
    """

    def __init__(
        self, status: HTTPStatus, reason: str, detail: str, field: str, retry_after_s: int | None = None
    ) -> None:
        super().__init__(detail)
        self.status = status
        self.reason = reason
        self.detail = detail
        self.field = field
        self.retry_after_s = retry_after_s


def document(status: int, reason: str, detail: str, field: str = "") -> bytes:
    """A problem document, for who has no response to put it into; arguments as for `problem`."""
    return msgspec.json.encode(
        Problem(
            type="about:blank",
            title=HTTPStatus(status).phrase,
            status=status,
            detail=detail,
            reason=reason,
            field=field or msgspec.UNSET,
        )
    )


def problem(status: int, reason: str, detail: str, field: str = "", retry_after_s: int | None = None) -> Response:
    """A problem document as a response.

    Args:
        status: HTTP status.
        reason: short name of the fault, for programs.
        detail: what is wrong and what to do, for people.
        field: the field at fault, empty for none.
        retry_after_s: seconds after which to repeat, None for no such header.
    """
    response = Response(document(status, reason, detail, field), status, content_type=MEDIA_TYPE)
    if retry_after_s is not None:
        response.headers["Retry-After"] = str(retry_after_s)
    return response


def answer_with_problems(app: Flask, damage: Damage) -> None:
    """Makes every error of the application a problem document.

    Args:
        app: the application.
        damage: told of damaged keys.
    """

    @app.errorhandler(BadBody)
    def bad_body(error: BadBody) -> Response:
        return problem(error.status, error.reason, error.detail, error.field)

    @app.errorhandler(Refused)
    def refused(error: Refused) -> Response:
        response = problem(error.status, error.reason, error.detail, error.field, error.retry_after_s)
        if error.status == HTTPStatus.UNAUTHORIZED:
            # RFC 9110, 15.5.2 wants a challenge; the scheme has no registered name of its own
            response.headers["WWW-Authenticate"] = CHALLENGE
        return response

    @app.errorhandler(OtherBody)
    def other_body(error: OtherBody) -> Response:
        return problem(409, "other_body", str(error), "id")

    @app.errorhandler(Busy)
    def busy(error: Busy) -> Response:
        return problem(503, "busy", str(error), retry_after_s=error.retry_after_s)

    @app.errorhandler(StoreUnavailable)
    def unavailable(error: StoreUnavailable) -> Response:
        # what happened may hold the store's address, which is nothing for the gateway
        log_event("store", level=logging.WARNING, outcome="unavailable", what=error.what)
        detail = f"the store does not answer: repeat the request after {error.retry_after_s} s"
        return problem(503, "store_unavailable", detail, retry_after_s=error.retry_after_s)

    @app.errorhandler(StoreDamaged)
    def damaged(error: StoreDamaged) -> Response:
        damage.met(error.key)
        return problem(500, "fault", FAULT)

    @app.errorhandler(Stumbled)
    def stumbled(error: Stumbled) -> Response:
        return problem(500, "fault", str(error))

    @app.errorhandler(HTTPException)
    def http_error(error: HTTPException) -> Response:
        status = error.code or 500
        field = _FIELDS.get(status, "request") if status < 500 else ""
        response = problem(status, HTTPStatus(status).name.lower(), error.description or "", field)
        kept = [(name, value) for name, value in error.get_headers() if name.lower() not in _OWN_HEADERS]
        response.headers.extend(kept)
        return response

    @app.errorhandler(Exception)
    def fault(error: Exception) -> Response:
        log_event("fault", level=logging.ERROR, fault=type(error).__name__, place=place_of(error))
        return problem(500, "fault", FAULT)


#: What of a request is at fault where it is no field of its body.
_FIELDS = {404: "path", 405: "method"}
_OWN_HEADERS = frozenset({"content-type", "content-length"})

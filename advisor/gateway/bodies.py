"""Reads a request's body into a checked value, or says which field is at fault."""

from __future__ import annotations

import re
from datetime import UTC
from http import HTTPStatus
from typing import TypeVar

import msgspec
from flask import Request

from advisor.gateway.messages import ClockMove, Inbound, Receipt, SmsMessage, UssdMessage
from advisor.gateway.problems import BadBody

BODY_LIMIT_BYTES = 256 * 1024

Body = TypeVar("Body", bound=Inbound)
Known = UssdMessage | SmsMessage | Receipt | ClockMove

_AT_PATH = re.compile(r" - at `\$\.([A-Za-z_]+)")
_NAMED = re.compile(r"^Object (?:missing required|contains unknown) field `(.+)`", re.DOTALL)


def body_of(request: Request, wanted: type[Body]) -> Body:
    """The body of a request.

    Args:
        request: what came in.
        wanted: what its body must be.

    Raises:
        BadBody: it is not JSON, not UTF-8, or a field is missing, unknown, of another type or out of range.
        RequestEntityTooLarge: it is longer than the limit.
    """
    if request.mimetype != "application/json":
        raise BadBody(
            HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "media_type", "the body must be JSON: send application/json"
        )
    return decoded(request.get_data(cache=False), wanted)


def decoded(body: bytes, wanted: type[Body]) -> Body:
    """A body, checked.

    >>> decoded(b'{"id":"b07-1","status":"lost","at":"2027-03-01T10:00:00Z"}', Receipt)
    Traceback (most recent call last):
    ...
    advisor.gateway.problems.BadBody: status: Invalid enum value 'lost'
    """
    try:
        found = msgspec.json.decode(body, type=wanted)
    except msgspec.ValidationError as error:
        text = str(error)
        field = _field_in(text)
        shown = text.split(" - at `$", 1)[0]
        raise BadBody(HTTPStatus.UNPROCESSABLE_ENTITY, "bad_field", f"{field}: {shown}", field) from None
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        raise BadBody(HTTPStatus.BAD_REQUEST, "bad_json", "the body is no JSON in UTF-8: send an object") from None
    _check_moment(found)
    return found


def _check_moment(found: Inbound) -> None:
    """Refuses the few moments at either end of the calendar that do not exist in UTC."""
    assert isinstance(found, Known)
    try:
        found.at.astimezone(UTC)
    except OverflowError:
        raise BadBody(HTTPStatus.UNPROCESSABLE_ENTITY, "bad_field", "at: out of the calendar", "at") from None


def _field_in(text: str) -> str:
    """The field that a decoder's message speaks of, ``body`` when it speaks of the whole.

    >>> _field_in("Expected `str`, got `int` - at `$.from`")
    'from'
    >>> _field_in("Object missing required field `at`")
    'at'
    >>> _field_in("Expected `object`, got `array`")
    'body'
    """
    found = _AT_PATH.search(text) or _NAMED.search(text)
    return found.group(1) if found else "body"

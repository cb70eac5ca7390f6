"""Reads a request's body into a checked value, or says which field is at fault."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from http import HTTPStatus
from typing import Any, TypeVar

import msgspec
from flask import Request

from advisor.gateway.arriving import read_body
from advisor.gateway.messages import SHAPES, ClockMove, Inbound, Receipt, SmsMessage, UssdMessage
from advisor.gateway.problems import BadBody

#: Clocks differ by a little; a message from further ahead would pass for new long after its answer is forgotten.
AHEAD_MOST = timedelta(minutes=10)

Body = TypeVar("Body", bound=Inbound)
Known = UssdMessage | SmsMessage | Receipt | ClockMove

_AT_PATH = re.compile(r" - at `\$\.([A-Za-z_]+)")
_NAMED = re.compile(r"Object (missing required|contains unknown) field `(.+)`", re.DOTALL)
_LONE_SURROGATE = re.compile("[\ud800-\udfff]")
_MOMENT = re.compile(
    r"(?P<minute>\d{4}-\d{2}-\d{2}[Tt]\d{2}:\d{2}):(?P<second>\d{2})(?P<part>\.\d+)?(?P<zone>[Zz]|[+-]\d{2}:\d{2})",
    re.ASCII,
)


def body_of(request: Request, wanted: type[Body], admit: Callable[[Request, bytes], None] | None = None) -> Body:
    """The body of a request.

    Args:
        request: what came in.
        wanted: what its body must be.
        admit: looks at the body as it came before anything is read out of it; None for nobody.

    Raises:
        BadBody: it is too long, cut short, not JSON, not UTF-8, or a field is missing, unknown, twice, of another
            type or out of range.
    """
    # read first: a body that stays on the line would spoil the connection for the next request
    body = read_body(request)
    if admit is not None:
        admit(request, body)
    _check_headers(request)
    return decoded(body, wanted)


def decoded(body: bytes, wanted: type[Body]) -> Body:
    """A body, checked. Half of a surrogate pair, as a cut emoji leaves it, is taken for U+FFFD.

    >>> decoded(b'{"id":"b07-1","status":"lost","at":"2027-03-01T10:00:00Z"}', Receipt)
    Traceback (most recent call last):
    ...
    advisor.gateway.problems.BadBody: status: give delivered, failed or expired
    """
    found = _parsed(body)
    if isinstance(found, dict) and isinstance(found.get("at"), str):
        found["at"] = _moment_in(found["at"])
    try:
        taken = msgspec.convert(found, wanted)
    except msgspec.ValidationError as error:
        field, detail = _fault_in(str(error))
        raise BadBody(HTTPStatus.UNPROCESSABLE_ENTITY, "bad_field", detail, field) from None
    _check_moment(taken)
    return taken


def check_not_ahead(at: datetime, now: datetime) -> None:
    """Refuses a message from the future, be it that its sender's clock or ours is wrong.

    Args:
        at: when the gateway took it.
        now: what the service's clock says.

    Raises:
        BadBody: it is more than ten minutes ahead.
    """
    if at - now > AHEAD_MOST:
        detail = "at: more than 10 minutes ahead of the service's clock: set the clocks right, then send it again"
        raise BadBody(HTTPStatus.UNPROCESSABLE_ENTITY, "bad_field", detail, "at")


def _check_headers(request: Request) -> None:
    said = request.environ
    if said.get("CONTENT_TYPE") == "application/json" and "HTTP_CONTENT_ENCODING" not in said:
        return  # as nearly always
    charset = request.mimetype_params.get("charset", "utf-8").lower()
    if request.mimetype != "application/json" or charset not in ("utf-8", "utf8"):
        detail = "the body must be JSON in UTF-8: send application/json"
        raise BadBody(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "media_type", detail, "content-type")
    if request.headers.get("Content-Encoding", "identity").strip().lower() not in ("identity", ""):
        detail = "the body must not be compressed: send it without Content-Encoding"
        raise BadBody(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "content_encoding", detail, "content-encoding")


def _parsed(body: bytes) -> Any:
    if (found := _plain_object(body)) is not None:
        return found
    try:
        return _DECODER.decode(body.decode("utf-8"))
    except (ValueError, RecursionError):
        detail = "the body is no JSON in UTF-8: send an object"
        raise BadBody(HTTPStatus.BAD_REQUEST, "bad_json", detail) from None


def _plain_object(body: bytes) -> dict[str, str] | None:
    """An object of texts without escapes, which nearly every body is; None for one to be looked at more closely.

    A name that stands there twice shows by its quotes, of which each text has two, and each name has a text.

    >>> _plain_object(b'{"id":"1"}'), _plain_object(b'{"id":"1","id":"1"}'), _plain_object(b'{"id":1}')
    ({'id': '1'}, None, None)
    """
    if b"\\" in body:
        return None
    try:
        found = _PLAIN.decode(body)
    except (msgspec.MsgspecError, ValueError, RecursionError):
        return None
    return found if body.count(b'"') == 4 * len(found) else None


def _object(pairs: Sequence[tuple[str, Any]]) -> dict[str, Any]:
    """A JSON object.

    Raises:
        BadBody: a name stands in it twice, so that two readers could read two things.
    """
    found: dict[str, Any] = {}
    for spelt, value in pairs:
        name = _whole(spelt)
        if name in found:
            detail = f"{name} is there twice: give it once"
            raise BadBody(HTTPStatus.BAD_REQUEST, "twice", detail, name)
        found[name] = _whole(value) if isinstance(value, str) else value
    return found


def _whole(text: str) -> str:
    return text if text.isascii() else _LONE_SURROGATE.sub("\N{REPLACEMENT CHARACTER}", text)


def _no_constant(name: str) -> None:
    raise ValueError(name)


_PLAIN = msgspec.json.Decoder(dict[str, str])
#: No field is a number, so one is not worth more than its type.
_DECODER = json.JSONDecoder(object_pairs_hook=_object, parse_int=float, parse_constant=_no_constant)


def _moment_in(text: str) -> str:
    """A moment as RFC 3339 spells it; a leap second, which no calendar of ours has, as the last of its minute.

    >>> _moment_in("2016-12-31T23:59:60Z")
    '2016-12-31T23:59:59.999Z'
    """
    found = _MOMENT.fullmatch(text)
    if found is None:
        raise BadBody(HTTPStatus.UNPROCESSABLE_ENTITY, "bad_field", f"at: {SHAPES['at']}", "at")
    return f"{found['minute']}:59.999{found['zone']}" if found["second"] == "60" else text


def _check_moment(found: Inbound) -> None:
    """Refuses the few moments at either end of the calendar that do not exist in UTC."""
    if not isinstance(found, Known):
        return  # a round is tried now, and says no moment
    try:
        found.at.astimezone(UTC)
    except OverflowError:
        detail = "at: out of the calendar: give a time within the years 1 to 9999 UTC"
        raise BadBody(HTTPStatus.UNPROCESSABLE_ENTITY, "bad_field", detail, "at") from None


def _fault_in(text: str) -> tuple[str, str]:
    """The field that a decoder's message speaks of, ``body`` when it speaks of the whole, and what to do.

    >>> _fault_in("Expected `str`, got `int` - at `$.from`")
    ('from', 'from: give + and country code, like +99900112233')
    >>> _fault_in("Object missing required field `event`")
    ('event', 'event is missing: give begin, answer or cancel')
    >>> _fault_in("Object contains unknown field `colour`")
    ('colour', 'colour is no field of this message: leave it out')
    >>> _fault_in("Expected `object`, got `array`")
    ('body', 'the body is no object: send one JSON object')
    """
    if (named := _NAMED.match(text)) is not None:
        verb, field = named.groups()
        if verb.startswith("missing"):
            return field, f"{field} is missing: {SHAPES[field]}"
        return field, f"{field} is no field of this message: leave it out"
    if (found := _AT_PATH.search(text)) is not None:
        return found[1], f"{found[1]}: {SHAPES[found[1]]}"
    return "body", "the body is no object: send one JSON object"

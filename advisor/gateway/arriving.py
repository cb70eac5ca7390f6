"""Takes a request's body off the line: all of it, or the reason why not. A body that was cut is never parsed."""

from __future__ import annotations

from http import HTTPStatus
from typing import IO

from flask import Request

from advisor.gateway.problems import BadBody

BODY_LIMIT_BYTES = 256 * 1024
#: So much of a body that is too long is read and thrown away, so that its sender gets to read the answer.
THROWN_AWAY_BYTES = 16 * BODY_LIMIT_BYTES


def read_body(request: Request) -> bytes:
    """The body as it was sent.

    Raises:
        BadBody: 413 when it is longer than the limit, 408 when it did not come in time or its sender left, 400
            when its chunks are spoilt.
    """
    stream: IO[bytes] = request.environ["wsgi.input"]
    said = request.content_length
    if said is None and not request.environ.get("wsgi.input_terminated"):
        # neither a length nor a server that knows where the body ends: there is none
        return b""
    body = _read(stream, BODY_LIMIT_BYTES + 1 if said is None else min(said, BODY_LIMIT_BYTES + 1))
    if len(body) > BODY_LIMIT_BYTES:
        _throw_away(stream, THROWN_AWAY_BYTES if said is None else min(said, THROWN_AWAY_BYTES) - len(body))
        detail = f"the body has more than {BODY_LIMIT_BYTES} bytes: send less"
        raise BadBody(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "too_long", detail)
    if said is not None and len(body) < said:
        raise _cut()
    return body


def _read(stream: IO[bytes], most: int) -> bytes:
    try:
        return stream.read(most)
    except OSError:
        raise _cut() from None
    except Exception:
        # whatever the server calls what it found between the chunks
        detail = "the chunks of the body are spoilt: send it with its length"
        raise BadBody(HTTPStatus.BAD_REQUEST, "bad_chunks", detail) from None


def _throw_away(stream: IO[bytes], most: int) -> None:
    while most > 0:
        try:
            thrown = len(_read(stream, min(most, BODY_LIMIT_BYTES)))
        except BadBody:
            return
        if not thrown:
            return
        most -= thrown


def _cut() -> BadBody:
    detail = "the body did not come whole and in time: send it again, in one go"
    return BadBody(HTTPStatus.REQUEST_TIMEOUT, "cut_body", detail)

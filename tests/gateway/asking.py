"""Posting to the application, and reading the problem documents that it answers with."""

from __future__ import annotations

import io
from typing import Any

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.gateway.bodies import receipt, sms, ussd

ADDRESSES = {"/gateway/ussd": ussd, "/gateway/sms": sms, "/gateway/receipts": receipt}


def post(client: FlaskClient, path: str, body: object, **options: Any) -> TestResponse:
    return client.post(path, json=body, **options)


def problem_in(response: TestResponse) -> dict[str, Any]:
    """The problem document of a response, in its one shape."""
    assert response.mimetype == "application/problem+json"
    document = response.get_json()
    assert document["status"] == response.status_code
    assert {"type", "title", "detail", "reason"} <= document.keys()
    return document


def in_chunks(body: bytes) -> dict[str, Any]:
    """A request whose end the server knows, without a length."""
    return {
        "input_stream": io.BytesIO(body),
        "content_type": "application/json",
        "headers": {"Transfer-Encoding": "chunked"},
        "environ_overrides": {"wsgi.input_terminated": True},
    }

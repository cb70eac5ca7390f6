"""Bodies of the plain dialect, good ones to start from."""

from __future__ import annotations

from typing import Any

AT = "2027-03-01T07:30:00Z"
ANN = "+999001112233"


def ussd(**fields: Any) -> dict[str, Any]:
    """A USSD answer."""
    usual = {"id": "u1", "session": "s1", "from": ANN, "to": "1212", "event": "answer", "input": "2", "at": AT}
    return usual | {name.rstrip("_"): value for name, value in fields.items()}


def sms(**fields: Any) -> dict[str, Any]:
    """An SMS."""
    usual = {"id": "t1", "from": ANN, "to": "1212", "text": "menu", "at": AT}
    return usual | {name.rstrip("_"): value for name, value in fields.items()}


def receipt(**fields: Any) -> dict[str, Any]:
    """A delivery receipt."""
    return {"id": "b07-3a9c", "status": "delivered", "at": AT} | fields


def without(body: dict[str, Any], name: str) -> dict[str, Any]:
    """The body without one field."""
    return {key: value for key, value in body.items() if key != name}

"""For authors at a demonstration: move the clock, look into a session. Not there in a real installation."""

from __future__ import annotations

import re
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import asdict
from http import HTTPStatus
from typing import Any

import msgspec
from flask import Blueprint, Response, request

from advisor.dialogue.talk import Effect
from advisor.gateway.bodies import body_of
from advisor.gateway.messages import E164_PATTERN, ClockMove
from advisor.gateway.problems import BadBody
from advisor.service.clock import ShiftedClock, rfc3339
from advisor.service.identity import Ids
from advisor.service.stored import Stored, from_bytes
from advisor.store.api import Store

NUMBERS_WATCHED = 1000


class LastEffects:
    """The effects of each number's last step, for so many numbers."""

    def __init__(self, most: int = NUMBERS_WATCHED) -> None:
        self._most = most
        self._by_number: OrderedDict[str, tuple[Effect, ...]] = OrderedDict()

    def note(self, number: str, effects: tuple[Effect, ...]) -> None:
        """A step of that number was committed."""
        self._by_number[number] = effects
        self._by_number.move_to_end(number)
        while len(self._by_number) > self._most:
            self._by_number.popitem(last=False)

    def of(self, number: str) -> tuple[Effect, ...]:
        """The effects of the number's last step."""
        return self._by_number.get(number, ())


def demo(
    store: Store, clock: ShiftedClock, ids: Ids, effects: LastEffects, open_first: Callable[[], None]
) -> Blueprint:
    """``/demo/clock`` and ``/demo/session``.

    Args:
        store: where sessions are.
        clock: the clock to move.
        ids: derives ids.
        effects: what the last steps decided.
        open_first: opens the store, where that is not done yet.
    """
    blueprint = Blueprint("demo", __name__, url_prefix="/demo")

    @blueprint.post("/clock")
    def move() -> Response:
        wanted = body_of(request, ClockMove)
        try:
            clock.move_to(wanted.at)
        except ValueError as error:
            raise BadBody(HTTPStatus.UNPROCESSABLE_ENTITY, "bad_field", str(error), "at") from None
        return _json({"at": rfc3339(clock.now())})

    @blueprint.get("/session")
    def session() -> Response:
        # a plus sign that nobody escaped arrives as a space
        number = request.args.get("from", "").replace(" ", "+")
        if re.search(E164_PATTERN, number) is None:
            detail = "from: give an E.164 number, its plus sign written %2B"
            raise BadBody(HTTPStatus.UNPROCESSABLE_ENTITY, "bad_field", detail, "from")
        open_first()
        reading = store.read(ids.number(number), ids.message(number, "demo"))
        return _json(shown(from_bytes(reading.value), effects.of(number)))

    return blueprint


def shown(stored: Stored, effects: tuple[Effect, ...]) -> dict[str, Any]:
    """What an author sees of a grower.

    >>> shown(Stored(), ())["session"] is None
    True
    """
    record = stored.record
    return {
        "session": _session(stored),
        "facts": {fact.name: {"value": fact.value, "learnt": rfc3339(fact.learnt)} for fact in record.facts},
        "agreed": rfc3339(record.agreed) if record.agreed else None,
        "stopped": rfc3339(record.stopped) if record.stopped else None,
        "effects": [{"kind": type(effect).__name__} | asdict(effect) for effect in effects],
    }


def _session(stored: Stored) -> dict[str, Any] | None:
    session = stored.session
    if session is None:
        return None
    spots = [f"{spot.flow}.{spot.screen}" for spot in session.spots]
    return {
        "spots": spots,
        "screen": spots[-1] if spots else "",
        "answers": dict(session.answers),
        "language": session.language,
        "place": session.place,
        "until": rfc3339(session.until),
        "page": session.page,
    }


def _json(body: dict[str, Any]) -> Response:
    return Response(msgspec.json.encode(body), 200, content_type="application/json")

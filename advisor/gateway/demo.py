"""For authors at a demonstration: move the clock, look into a session and the book. Not there otherwise."""

from __future__ import annotations

import re
from collections import OrderedDict
from collections.abc import Callable
from http import HTTPStatus

import msgspec
from flask import Blueprint, Response, request

from advisor.dialogue.talk import Effect
from advisor.gateway.bodies import body_of
from advisor.gateway.messages import E164_PATTERN, ClockMove, RoundTried
from advisor.gateway.problems import BadBody
from advisor.gateway.shown import book_shown, grower_shown
from advisor.service.clock import ShiftedClock, rfc3339
from advisor.service.identity import Ids
from advisor.service.stored import from_bytes
from advisor.service.talking import Edition
from advisor.service.trying_rounds import RoundTrial
from advisor.store.api import Store

NUMBERS_WATCHED = 1000
NO_GATEWAY = "a round needs a gateway to hand its messages to: start the demonstration with --gateway"


class LastSteps:
    """What each number's last step decided and by which book, for so many numbers."""

    def __init__(self, most: int = NUMBERS_WATCHED) -> None:
        self._most = most
        self._by_number: OrderedDict[str, tuple[tuple[Effect, ...], str]] = OrderedDict()

    def note(self, number: str, effects: tuple[Effect, ...], book: str) -> None:
        """A step of that number was committed; ``book`` is the fingerprint of the book it was taken with."""
        self._by_number[number] = (effects, book)
        self._by_number.move_to_end(number)
        while len(self._by_number) > self._most:
            self._by_number.popitem(last=False)

    def of(self, number: str) -> tuple[tuple[Effect, ...], str | None]:
        """Effects and book of the number's last step."""
        return self._by_number.get(number, ((), None))


def demo(
    store: Store,
    clock: ShiftedClock,
    ids: Ids,
    steps: LastSteps,
    open_first: Callable[[], None],
    edition: Callable[[], Edition],
    trial: RoundTrial | None,
    round_text: Callable[[str], str | None],
) -> Blueprint:
    """``/demo/clock``, ``/demo/round``, ``/demo/session`` and ``/demo/book``.

    Args:
        store: where sessions are.
        clock: the clock to move.
        ids: derives ids.
        steps: what the last steps decided.
        open_first: opens the store, where that is not done yet.
        edition: the book in use.
        trial: tries rounds, None where there is no gateway.
        round_text: the text of a round by its name, None where there is none.
    """
    blueprint = Blueprint("demo", __name__, url_prefix="/demo")

    @blueprint.post("/clock")
    def move() -> Response:
        wanted = body_of(request, ClockMove)
        passing = trial is not None and wanted.passing
        try:
            if trial is not None and passing:
                open_first()
                trial.pass_to(wanted.at)
            else:
                clock.move_to(wanted.at)
        except ValueError as error:
            raise BadBody(HTTPStatus.UNPROCESSABLE_ENTITY, "bad_field", str(error), "at") from None
        return _json({"at": rfc3339(clock.now())})

    @blueprint.post("/round")
    def round_() -> Response:
        wanted = body_of(request, RoundTried)
        text = round_text(wanted.round)
        if text is None or trial is None:
            detail = f"round: there is none of the name {wanted.round}" if text is None else NO_GATEWAY
            raise BadBody(HTTPStatus.UNPROCESSABLE_ENTITY, "bad_field", detail, "round")
        open_first()
        trial.start(text, wanted.numbers)
        return _json(wanted)

    @blueprint.get("/session")
    def session() -> Response:
        # a plus sign that nobody escaped arrives as a space
        number = request.args.get("from", "").replace(" ", "+")
        if re.search(E164_PATTERN, number) is None:
            detail = "from: give an E.164 number, its plus sign written %2B"
            raise BadBody(HTTPStatus.UNPROCESSABLE_ENTITY, "bad_field", detail, "from")
        open_first()
        reading = store.read(ids.number(number), ids.message(number, "demo"))
        stored = from_bytes(reading.value)
        return _json(grower_shown(stored, edition().book, clock.now(), *steps.of(number)))

    @blueprint.get("/book")
    def book() -> Response:
        return _json(book_shown(edition()))

    return blueprint


def _json(body: object) -> Response:
    return Response(msgspec.json.encode(body), 200, content_type="application/json")

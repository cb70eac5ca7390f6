"""What the phone network's side calls: a USSD screen, an SMS, a delivery receipt. They only translate."""

from __future__ import annotations

from collections.abc import Callable

from flask import Blueprint, Response, request

from advisor.gateway.bodies import body_of, check_not_ahead
from advisor.gateway.door import Door
from advisor.gateway.messages import Receipt, SmsMessage, UssdMessage
from advisor.service.clock import Clock
from advisor.service.inbound import Inbound
from advisor.service.receipts import Receipts

JSON = "application/json"


def webhooks(
    inbound: Inbound, receipts: Receipts, clock: Clock, door: Door, is_command: Callable[[str], bool]
) -> Blueprint:
    """The three addresses of the plain dialect.

    Args:
        inbound: takes messages.
        receipts: notes what became of outgoing ones.
        clock: what the time is.
        door: says who may speak.
        is_command: whether an SMS is a word for stop or for erasing. It is obeyed however often the number wrote.
    """
    blueprint = Blueprint("gateway", __name__, url_prefix="/gateway")
    blueprint.before_request(door.admit_speaker)

    @blueprint.post("/ussd")
    def ussd() -> Response:
        taken = body_of(request, UssdMessage, door.check_signature)
        door.count_number(taken.sender)
        check_not_ahead(taken.at, clock.now())
        return Response(inbound.take(taken.message()).body, 200, content_type=JSON)

    @blueprint.post("/sms")
    def sms() -> Response:
        taken = body_of(request, SmsMessage, door.check_signature)
        if not is_command(taken.text):
            door.count_number(taken.sender)
        check_not_ahead(taken.at, clock.now())
        return Response(inbound.take(taken.message()).body, 202, content_type=JSON)

    @blueprint.post("/receipts")
    def receipt() -> Response:
        taken = body_of(request, Receipt, door.check_signature)
        check_not_ahead(taken.at, clock.now())
        receipts.note(taken.id, taken.status)
        response = Response(status=204)
        del response.headers["Content-Type"]
        return response

    return blueprint

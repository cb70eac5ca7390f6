"""What the phone network's side calls: a USSD screen, an SMS, a delivery receipt. They only translate."""

from __future__ import annotations

from flask import Blueprint, Response, request

from advisor.gateway.bodies import body_of
from advisor.gateway.messages import Receipt, SmsMessage, UssdMessage
from advisor.service.inbound import Inbound
from advisor.service.receipts import Receipts

JSON = "application/json"


def webhooks(inbound: Inbound, receipts: Receipts) -> Blueprint:
    """The three addresses of the plain dialect.

    Args:
        inbound: takes messages.
        receipts: notes what became of outgoing ones.
    """
    blueprint = Blueprint("gateway", __name__, url_prefix="/gateway")

    @blueprint.post("/ussd")
    def ussd() -> Response:
        answer = inbound.take(body_of(request, UssdMessage).message())
        return Response(answer.body, 200, content_type=JSON)

    @blueprint.post("/sms")
    def sms() -> Response:
        answer = inbound.take(body_of(request, SmsMessage).message())
        return Response(answer.body, 202, content_type=JSON)

    @blueprint.post("/receipts")
    def receipt() -> Response:
        taken = body_of(request, Receipt)
        receipts.note(taken.id, taken.status)
        return Response(status=204)

    return blueprint

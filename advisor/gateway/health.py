"""For whoever keeps the service running: is it alive, can it work, what does it count, what does it speak."""

from __future__ import annotations

import msgspec
from flask import Blueprint, Response

from advisor.gateway.messages import Health
from advisor.gateway.metrics import Metrics
from advisor.gateway.openapi import document
from advisor.store.api import Store, StoreDamaged, StoreUnavailable

JSON = "application/json"


def health(store: Store, metrics: Metrics, *, demo: bool) -> Blueprint:
    """``/health``, ``/metrics`` and ``/openapi.json``.

    Args:
        store: whose readiness is the service's readiness.
        metrics: what is counted.
        demo: whether this is a demonstration.
    """
    blueprint = Blueprint("health", __name__)
    described = msgspec.json.encode(document(demo=demo))

    @blueprint.get("/health")
    def live_and_ready() -> Response:
        ready, what = readiness(store)
        body = Health(live=True, ready=ready, store=what, demo=demo)
        return Response(msgspec.json.encode(body), 200 if ready else 503, content_type=JSON)

    @blueprint.get("/metrics")
    def figures() -> Response:
        text, media_type = metrics.exposition()
        return Response(text, 200, content_type=media_type)

    @blueprint.get("/openapi.json")
    def openapi() -> Response:
        return Response(described, 200, content_type=JSON)

    return blueprint


def readiness(store: Store) -> tuple[bool, str]:
    """Whether messages can be taken now, and one line about the store; it never raises."""
    try:
        return store.ready()
    except (StoreUnavailable, StoreDamaged) as error:
        return False, str(error)

"""For whoever keeps the service running: is it alive, can it work, what does it count, what does it speak."""

from __future__ import annotations

import msgspec
from flask import Blueprint, Response

from advisor.gateway.door import Door
from advisor.gateway.messages import Health
from advisor.gateway.metrics import Metrics
from advisor.gateway.openapi import document
from advisor.service.clock import Clock, unix_ms
from advisor.service.damage import Damage
from advisor.store.api import Backlog, Store, StoreDamaged, StoreMismatch, StoreRefused, StoreUnavailable

JSON = "application/json"
RETRY_AFTER_S = 1


def health(store: Store, metrics: Metrics, clock: Clock, damage: Damage, door: Door, *, demo: bool) -> Blueprint:
    """``/health``, ``/metrics`` and ``/openapi.json``.

    Args:
        store: whose readiness is the service's readiness.
        metrics: what is counted.
        clock: what the time is, for what is due.
        damage: damaged keys that were met.
        door: says who may look, and whether messages are signed; the description is for everybody.
        demo: whether this is a demonstration.
    """
    blueprint = Blueprint("health", __name__)
    described = msgspec.json.encode(document(demo=demo, signed=door.signed))

    @blueprint.get("/health")
    def live_and_ready() -> Response:
        door.admit_watcher()
        ready, what = readiness(store, damage)
        body = Health(live=True, ready=ready, store=what, damaged=damage.keys(), demo=demo)
        response = Response(msgspec.json.encode(body), 200 if ready else 503, content_type=JSON)
        if not ready:
            response.headers["Retry-After"] = str(RETRY_AFTER_S)
        return response

    @blueprint.get("/metrics")
    def figures() -> Response:
        door.admit_watcher()
        text, media_type = metrics.exposition(backlog(store, clock, damage))
        return Response(text, 200, content_type=media_type)

    @blueprint.get("/openapi.json")
    def openapi() -> Response:
        return Response(described, 200, content_type=JSON)

    return blueprint


def readiness(store: Store, damage: Damage) -> tuple[bool, str]:
    """Whether messages can be taken now, and one line about the store; it never raises."""
    try:
        return store.ready()
    except StoreRefused as error:
        return False, error.what
    except StoreUnavailable as error:
        # what stands in brackets may hold the store's address, which is nothing for whoever may ask here
        return False, error.what.partition(" (")[0]
    except StoreDamaged as error:
        damage.met(error.key)
        return False, str(error)
    except StoreMismatch as error:
        return False, str(error)


def backlog(store: Store, clock: Clock, damage: Damage) -> Backlog | None:
    """What waits in the store, None when it does not say; it never raises."""
    try:
        return store.backlog(unix_ms(clock.now()))
    except StoreDamaged as error:
        damage.met(error.key)
    except (StoreUnavailable, StoreMismatch):
        pass
    return None

"""How long the service takes from a cold start until it is ready, on an empty store of its own."""

from __future__ import annotations

import statistics
import time

from tests.servers import redis_server
from tests.whole.services import service


def ready_s(turns: int = 3) -> float:
    """Seconds from the start of ``advisor serve`` until ``/health`` says 200; a median."""
    taken = []
    with redis_server() as server:
        for _ in range(turns):
            begun = time.perf_counter()
            with service(server.address):
                taken.append(time.perf_counter() - begun)
    return statistics.median(taken)

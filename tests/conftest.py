"""Servers that many tests share; each is started once, and only when a test asks for it."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, Phase, settings

from tests.servers import RedisCluster, RedisServer, redis_cluster, redis_server

# A law holds on a busy machine too: no example is refused for taking long. The suite tries the same examples each
# time, so that a change is not blamed for what was there before; `make explore` tries others, `make mutation` few.
settings.register_profile("same", deadline=None, derandomize=True)
settings.register_profile("explore", deadline=None, max_examples=500)
# For mutants the first counterexample is enough, and every test is run in many processes forked from one.
settings.register_profile(
    "mutants",
    deadline=None,
    derandomize=True,
    database=None,
    max_examples=25,
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=list(HealthCheck),
)
settings.load_profile(os.environ.get("LAWS", "same"))


@pytest.fixture(scope="session")
def shared_redis() -> Iterator[RedisServer]:
    """One real Redis for tests that neither stop it nor change its settings; empty it first."""
    with redis_server("--appendfsync", "everysec") as server:
        yield server


@pytest.fixture(scope="session")
def shared_cluster() -> Iterator[RedisCluster]:
    """One cluster of three servers for tests that leave it whole; empty it first."""
    with redis_cluster() as cluster:
        yield cluster

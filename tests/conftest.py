"""Servers that many tests share; each is started once, and only when a test asks for it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import settings

from tests.servers import RedisCluster, RedisServer, redis_cluster, redis_server

# A law holds on a busy machine too: no example is refused for taking long.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")


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

"""The store without a server: the same scripts on a fake of Redis inside this process. It keeps nothing."""

from __future__ import annotations

import fakeredis

from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore


class EmbeddedStore(RedisStore):
    """A `Store` for the terminal phone, the demo and tests.

    Args:
        server: the fake server; share one between stores that stand for several processes.
        keeps: how long things are kept.
        secret_mark: mark of the id secret, empty for no check.
    """

    def __init__(
        self, server: fakeredis.FakeServer | None = None, keeps: Keeps | None = None, secret_mark: str = ""
    ) -> None:
        self.server = server or fakeredis.FakeServer(version=(7,))
        super().__init__(lambda: fakeredis.FakeStrictRedis(server=self.server, protocol=2), keeps, secret_mark)

    def ready(self) -> tuple[bool, str]:
        can_write, _ = super().ready()
        return can_write, "embedded store: it keeps nothing when this process ends"

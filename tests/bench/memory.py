"""How many bytes of Redis a grower takes, by kind of key: ``MEMORY USAGE`` of every key, each counted whole."""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import dataclass

from advisor.app import create_app
from advisor.settings import Settings
from tests.bench.talks import AFTER_THE_END, conversation
from tests.servers import RedisServer, redis_server
from tests.whole.services import OPEN, SECRET

GROWERS = 1000
#: What each kind of key holds, by the word behind its bucket.
KINDS = {
    "idle": "growers by last message",
    "t": "what is kept of a grower, for erasing",
    "g": "record and session",
    "h": "history",
    "m": "remembered answers, 72 h",
    "o": "outgoing messages",
    "out": "queue of outgoing messages",
    "v": "village figures",
}


@dataclass(frozen=True, slots=True)
class Taken:
    """Bytes of one kind of key.

    Args:
        what: what it holds.
        keys: how many such keys there are a grower.
        bytes: bytes a grower.
    """

    what: str
    keys: float
    bytes: float


def taken_by_growers(growers: int = GROWERS) -> tuple[list[Taken], list[Taken]]:
    """Bytes a grower whose session has ended, and in the midst of the next call."""
    with redis_server("--appendonly", "no") as server:
        settings = Settings.from_env({"SOWING_STORE": server.address, "SOWING_ID_SECRET": SECRET} | OPEN)
        client = create_app(settings).test_client()
        talks = [conversation(98, grower) for grower in range(growers)]
        found = []
        for told in ([talk[:-AFTER_THE_END] for talk in talks], [talk[-AFTER_THE_END:] for talk in talks]):
            for body in itertools.chain.from_iterable(told):
                answer = client.post("/gateway/ussd", data=body, content_type="application/json")
                if answer.status_code != 200:
                    raise RuntimeError(answer.text)
            found.append(_taken(server, growers))
        return found[0], found[1]


def _taken(server: RedisServer, growers: int) -> list[Taken]:
    bytes_of: Counter[str] = Counter()
    keys_of: Counter[str] = Counter()
    with server.client() as client:
        names = [key for key in client.scan_iter(count=1000) if key.startswith(b"{b")]
        pipeline = client.pipeline(transaction=False)
        for name in names:
            pipeline.execute_command("MEMORY USAGE", name, "SAMPLES", "0")
        for name, used in zip(names, pipeline.execute(), strict=True):
            kind = name.decode().split(":")[1]
            bytes_of[kind] += used
            keys_of[kind] += 1
    return [
        Taken(KINDS.get(kind, kind), keys_of[kind] / growers, used / growers)
        for kind, used in sorted(bytes_of.items())
    ]

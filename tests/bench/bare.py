"""The bare application: reads and writes what the service does at that step, and decides nothing.

Run as ``python -m tests.bench.bare SHAPES --port 8001 --workers 2``, the store's address in SOWING_STORE.
"""

from __future__ import annotations

import argparse
import hashlib
from pathlib import Path

import msgspec
from flask import Flask, Response, request

from advisor.commands.serving import gunicorn_of
from advisor.settings import Settings
from advisor.store.link import client_at
from tests.bench.shapes import Shape

#: Commands as they come, each: its name, the index of its key, the number of further words, these words.
SCRIPT = """
local at = 1
while at <= #ARGV do
  local many = tonumber(ARGV[at + 2])
  redis.call(ARGV[at], KEYS[tonumber(ARGV[at + 1])], unpack(ARGV, at + 3, at + 2 + many))
  at = at + 3 + many
end
return {'committed'}
"""


class Prepared:
    """A shape whose values are made, so that a request only names its keys."""

    def __init__(self, shape: Shape) -> None:
        self.reads = " ".join(shape.reads)
        self.keys = " ".join(shape.keys)
        self.key_count = str(len(shape.keys))
        self.words = [b"x" * word if isinstance(word, int) else word for word in shape.words]
        self.named = [place for place, word in enumerate(self.words) if isinstance(word, str) and "%(" in word]
        self.answer = {"text": "x" * shape.text, "open": shape.open}


def bare_app(shapes: dict[str, Shape], address: str) -> Flask:
    """The application.

    Args:
        shapes: what to read and write, by the beginning of a message's id.
        address: of the Redis server.
    """
    app = Flask("bare", static_folder=None)
    client = client_at(address, lambda _connection: None)
    sha = hashlib.sha1(SCRIPT.encode(), usedforsecurity=False).hexdigest()
    client.execute_command("SCRIPT LOAD", SCRIPT)
    prepared = {name: Prepared(shape) for name, shape in shapes.items()}

    @app.post("/gateway/ussd")
    def ussd() -> Response:
        body = msgspec.json.decode(request.get_data())
        shape = prepared[body["id"][:5]]
        number = body["from"]
        names = {"bucket": number[-2:], "grower": number[1:].rjust(16, "0"), "message": body["id"]}
        client.execute_command("MGET", *(shape.reads % names).split(" "))
        words = shape.words.copy()
        for place in shape.named:
            words[place] = words[place] % names
        client.execute_command("EVALSHA", sha, shape.key_count, *(shape.keys % names).split(" "), *words)
        return Response(msgspec.json.encode(shape.answer), 200, content_type="application/json")

    @app.get("/health")
    def health() -> Response:
        return Response("{}", 200, content_type="application/json")

    return app


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("shapes", type=Path)
    parser.add_argument("--port")
    parser.add_argument("--workers")
    given = parser.parse_args()
    settings = Settings.from_env(given={"port": given.port, "workers": given.workers})
    shapes = msgspec.json.decode(given.shapes.read_bytes(), type=dict[str, Shape])
    gunicorn_of(lambda: bare_app(shapes, settings.store), settings).run()


if __name__ == "__main__":
    main()

"""What the service reads and writes at each step of the bench's conversations, for the bare application to repeat.

The conversations are run once through the service on a dictionary store that notes each commit. Keys and short
words stay, with names in the places of ids; a value that is text of the service's making becomes its length.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import msgspec

from advisor.app import create_app
from advisor.settings import Settings
from advisor.store import keys
from advisor.store.api import Change, Verdict
from advisor.store.memory import DictStore
from advisor.store.plans import Keeps, change_plan
from tests.bench.talks import TALKS, bodies
from tests.whole.services import OPEN, SECRET

#: Operations of the commit script that are commands of Redis.
_AS_THEY_ARE = frozenset({"del", "zrem", "hincrby", "sadd", "srem"})
#: A moment in milliseconds, for a score that the script makes of the server's clock.
TRACE_SCORE = "1803888000000"

#: A word as it is, with ``%(bucket)s``, ``%(grower)s`` and ``%(message)s`` in it, or so many bytes of anything.
Word = str | int


class Shape(msgspec.Struct, frozen=True):
    """One message.

    Args:
        reads: keys of the one read.
        keys: keys that are written.
        words: commands of the script, each: its name, the index of its key, the number of further words, these.
        text: length of the text that is answered, in bytes.
        open: what the answer says of the call.
    """

    reads: tuple[str, ...]
    keys: tuple[str, ...]
    words: tuple[Word, ...]
    text: int
    open: bool


class _Noting(DictStore):
    """A dictionary store that keeps the last change."""

    last: Change | None = None

    def commit(self, change: Change) -> Verdict:
        self.last = change
        return super().commit(change)


def shapes() -> tuple[dict[str, Shape], int]:
    """Shapes by the beginning of a message's id, and how many different texts were answered."""
    store = _Noting()
    client = create_app(Settings.from_env({"SOWING_ID_SECRET": SECRET} | OPEN), store=store).test_client()
    told = bodies(99, 0)
    found, texts = {}, set()
    for talk, said in enumerate(TALKS):
        for place in range(len(said)):
            answer = client.post("/gateway/ussd", data=next(told), content_type="application/json")
            if answer.status_code != 200 or store.last is None:
                raise RuntimeError(f"conversation {talk}, message {place}: {answer.status_code} {answer.text}")
            texts.add(answer.json["text"])
            text_bytes = len(answer.json["text"].encode())
            found[f"{talk:02d}-{place:02d}"] = _shape(store.last, place, text_bytes, answer.json["open"])
    return found, len(texts)


@dataclass(frozen=True, slots=True)
class _Names:
    """Ids of one change, to be replaced by names."""

    change: Change

    def __call__(self, word: str) -> str:
        grower, message = self.change.grower, self.change.message or ""
        word = word.replace(grower, "%(grower)s").replace(message, "%(message)s")
        word = re.sub("b" + grower[:2] + "(?=[}-])", "b%(bucket)s", word)
        for place, out in enumerate(self.change.outs):
            word = word.replace(out.oid[3:], f"-%(message)s{place:08d}")
        return word


def _shape(change: Change, place: int, text: int, is_open: bool) -> Shape:
    assert change.message is not None
    named = _Names(change)
    plan = change_plan(change, Keeps())
    reads = (keys.of_number(change.grower), keys.of_message(change.grower, change.message))
    written: dict[str, int] = {}
    words: list[Word] = []

    def add(key: str, command: str, *more: Word) -> None:
        words.extend((command, str(written.setdefault(named(key), len(written) + 1)), str(len(more)), *more))

    rest = iter(plan.arguments[4:])
    for name in rest:
        key = plan.keys[int(next(rest)) - 1]
        a: list[Word] = [_word(next(rest), named) for _ in range(int(next(rest)))]
        if name == "set":
            add(key, "SET", a[0], *(() if a[1] == "0" else ("PX", a[1])))
        elif name == "offer":
            add(key, "SET", a[0], "PX", a[4], "NX")
            add(plan.keys[int(a[1]) - 1], "ZADD", a[2], a[3])
        elif name == "xadd":
            add(key, "XADD", "MINID", "=", a[1], "*", *a[2:])
        elif name == "trace":
            add(key, "ZADD", TRACE_SCORE, a[1])
            add(key, "PEXPIRE", a[0])
        elif name == "zadd":
            # in a call, no two messages come in one millisecond; what is there already Redis does not write again
            add(key, "ZADD", str(int(str(a[0])) - 1000 * place), a[1])
        elif name in _AS_THEY_ARE:
            add(key, str(name).upper(), *a)
        elif name != "look":
            raise RuntimeError(f"the bare application does not know what {name!r} writes: say so here")
    reads = (*reads, keys.of_grower(change.grower))
    return Shape(tuple(map(named, reads)), tuple(written), tuple(words), text, is_open)


def _word(word: bytes | str, named: _Names) -> Word:
    return len(word) if isinstance(word, bytes) else named(word)

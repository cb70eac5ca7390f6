"""What growers type in the bench: first calls up to the list, its further pages, and second calls.

A message's id begins with its conversation and its place in it, ``03-07-``, so that the bare application can look
up what the service writes there.
"""

from __future__ import annotations

import itertools
import json
from collections.abc import Iterator
from datetime import UTC, datetime

#: One message: the call in the conversation, what happened, what was typed.
Said = tuple[int, str, str]

_THIRD_CALL: tuple[Said, ...] = ((3, "begin", ""), (3, "answer", "1"))
_FIELDS = ("2.5", "1", "0.5", "4", "3,5", "1 ha", "2 1/2", "1.25", "6", "0.75", "10", "2 acres")


def _talk(language: str, village: str, field: str, *, own_seed: bool) -> tuple[Said, ...]:
    """A first call up to the list, a second that has it sent by SMS and ends, a third that looks again."""
    seed = ("2", "1", "45 of 50", "1") if own_seed else ("1",)
    first = (language, "1", village, "1", field, *seed)
    return (
        (1, "begin", ""),
        *((1, "answer", typed) for typed in first),
        (1, "cancel", ""),
        (2, "begin", ""),
        (2, "answer", "1"),
        (2, "answer", "1"),
        *_THIRD_CALL,
    )


#: Twelve conversations that differ in language, village, field and seed; one in three has seed of its own.
TALKS = tuple(
    _talk(str(place % 3 + 1), str(place % 6 + 1), field, own_seed=place % 4 == 3)
    for place, field in enumerate(_FIELDS)
)


#: So many messages of each conversation come after a session's end.
AFTER_THE_END = len(_THIRD_CALL)


def conversation(client: int, grower: int) -> list[bytes]:
    """The bodies of one grower's messages.

    Args:
        client: number of the client, 0 to 99.
        grower: number of the grower, 0 to 999999, which chooses the conversation.
    """
    talk = grower % len(TALKS)
    number = f"+9990{client:02d}{grower:06d}"
    at = datetime.now(UTC).isoformat(timespec="seconds")
    return [
        json.dumps(
            {
                "id": f"{talk:02d}-{place:02d}-{client:02d}-{grower:07d}",
                "session": f"{number}-{call}",
                "from": number,
                "to": "2500",
                "event": event,
                "input": typed,
                "at": at,
            }
        ).encode()
        for place, (call, event, typed) in enumerate(TALKS[talk])
    ]


def bodies(client: int, first: int) -> Iterator[bytes]:
    """Bodies without end, one conversation after the other, from a first grower on; two turns never share one."""
    return itertools.chain.from_iterable(conversation(client, grower) for grower in itertools.count(first))

"""Traces: what was written for a grower under names from which the grower cannot be told.

A message, an outgoing text and the mark of a relay lie under hashes of their own. So that an erase finds them, and
a backup, each leaves a member in the grower's ``t:`` key: one letter, then the name.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from advisor.store.names import checked_name, checked_oid


@dataclass(frozen=True, slots=True)
class Traces:
    """The traces of one grower, read.

    Args:
        messages: hashes of inbound messages that are remembered.
        outs: (lane, outgoing id) of messages whose number and text may still be kept.
        effects: relays that were applied.

    >>> Traces.read([b"m55ff", b"o1b07-3a9c/weeding", b"scount-1"])
    Traces(messages=('55ff',), outs=((1, 'b07-3a9c'),), effects=('count-1',))
    """

    messages: tuple[str, ...] = ()
    outs: tuple[tuple[int, str], ...] = ()
    effects: tuple[str, ...] = ()

    @classmethod
    def read(cls, members: Iterable[bytes]) -> Traces:
        """The traces that a key holds.

        Raises:
            ValueError: a member is none of the three.
        """
        names = [member.decode() for member in members]
        if any(name[:1] not in ("m", "o", "s") for name in names):
            raise ValueError("a trace begins with m, o or s")
        return cls(
            tuple(checked_name("message", name[1:]) for name in names if name[0] == "m"),
            tuple((int(name[1]), checked_oid(name[2:].partition("/")[0])) for name in names if name[0] == "o"),
            tuple(checked_name("effect", name[1:]) for name in names if name[0] == "s"),
        )


def of_message(message: str) -> str:
    """The member of a remembered message."""
    return f"m{message}"


def of_out(lane: int, oid: str, round_: str = "") -> str:
    """The member of an outgoing message, with the name of its round where it has one.

    >>> of_out(2, "b07-3a9c", "weeding")
    'o2b07-3a9c/weeding'
    """
    return f"o{lane}{oid}/{round_}" if round_ else f"o{lane}{oid}"


def of_effect(effect: str) -> str:
    """The member of an applied relay."""
    return f"s{effect}"


@dataclass(frozen=True, slots=True)
class Behind:
    """What lies in a bucket of one grower beside the value, read before it is forgotten.

    Args:
        traces: members of the grower's ``t:`` key, as they are.
        parked: the grower's members of the operator's list.
        numbers: numbers of the bucket that point to the grower.
    """

    traces: tuple[bytes, ...] = ()
    parked: tuple[str, ...] = ()
    numbers: tuple[str, ...] = ()

    @classmethod
    def of(
        cls,
        grower: str,
        traces: Iterable[bytes],
        parked: Iterable[bytes],
        pointers: Iterable[tuple[str, bytes | None]],
    ) -> Behind:
        """What is the grower's, out of what the keys hold.

        Args:
            grower: id of the grower.
            traces: members of the grower's ``t:`` key.
            parked: members of the bucket's operator's list.
            pointers: (number hash, what its pointer holds) of the bucket.
        """
        return cls(
            tuple(traces),
            tuple(name for member in parked if (name := member.decode()).startswith(f"{grower}:")),
            tuple(number for number, target in pointers if target == grower.encode()),
        )

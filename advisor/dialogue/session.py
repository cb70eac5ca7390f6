"""A session to and from plain JSON values; it travels with the grower's record in one stored value."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from functools import lru_cache
from typing import Any

import msgspec
from msgspec import Struct

from advisor.dialogue.talk import Session, Spot
from advisor.records.codec import value_from_json, value_to_json


def session_to_json(session: Session) -> dict[str, Any]:
    """The session as plain JSON values, empty parts left out."""
    stored: dict[str, Any] = {
        "s": _names(session.spots),
        "k": session.asks,
        "l": session.language,
        "w": session.place,
        "u": int(session.until.timestamp()),
    }
    if session.page:
        stored["p"] = session.page
    if session.notice:
        stored["n"] = session.notice
    if session.trail:
        stored["t"] = [_names(spots) for spots in session.trail]
    if session.answers:
        stored["a"] = {name: value_to_json(value) for name, value in session.answers}
    if session.via:
        stored["v"] = session.via
    if session.learnt:
        stored["r"] = list(session.learnt)
    return stored


class KeptSession(Struct, frozen=True):
    """A session as it is stored, read straight from its bytes; seconds are a moment with ``strict=False``."""

    s: tuple[str, ...]
    k: str
    l: str  # noqa: E741 - as it is stored
    w: str
    u: datetime
    p: int = 0
    n: str = ""
    t: tuple[tuple[str, ...], ...] = ()
    a: dict[str, Any] = {}
    v: str = ""
    r: tuple[str, ...] = ()

    def session(self) -> Session:
        """The session itself."""
        return Session(
            spots=_spots(*self.s),
            via=self.v,
            asks=self.k,
            page=self.p,
            notice=self.n,
            trail=tuple([_spots(*names) for names in self.t]),
            answers=tuple([(name, value_from_json(value)) for name, value in self.a.items()]),
            learnt=self.r,
            language=self.l,
            place=self.w,
            until=self.u,
        )


def session_from_json(stored: Mapping[str, Any]) -> Session:
    """The session that was stored."""
    return msgspec.convert(stored, KeptSession, strict=False).session()


def _names(spots: tuple[Spot, ...]) -> list[str]:
    return [f"{spot.flow}.{spot.screen}" for spot in spots]


@lru_cache(maxsize=4096)
def _spots(*names: str) -> tuple[Spot, ...]:
    """A trail names the same few screens again and again."""
    return tuple(Spot(*name.split(".", 1)) for name in names)

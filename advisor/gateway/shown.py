"""What a demonstration shows to authors: the book in use with its faults, and all that is known of a grower."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any

import msgspec
from msgspec import Meta
from msgspec.structs import asdict

from advisor.dialogue.book import Book
from advisor.dialogue.faults import Fault
from advisor.dialogue.held import Held
from advisor.dialogue.talk import Effect, Spot
from advisor.dialogue.talk import Session as Talk
from advisor.records.grower import Fact, Value
from advisor.service.clock import rfc3339
from advisor.service.stored import Stored
from advisor.service.talking import Edition


class FaultShown(msgspec.Struct, frozen=True):
    """Something wrong in a file of an author's."""

    file: Annotated[str, Meta(description="As the author named it, empty where no file is meant.")]
    line: Annotated[int, Meta(description="From 1; 0 when the file as a whole is meant.")]
    screen: Annotated[str, Meta(description="flow.screen, empty where none is meant.")]
    language: str
    what: str
    instead: Annotated[str, Meta(description="What to do.")]


class BookShown(msgspec.Struct, frozen=True):
    """The book in use, and what is wrong with its files since it was read."""

    fingerprint: str
    loaded_at: Annotated[str, Meta(description="RFC 3339, by the clock of the machine.")]
    programme: str
    languages: tuple[str, ...]
    flows: tuple[str, ...]
    warnings: Annotated[tuple[FaultShown, ...], Meta(description="What this book does without.")]
    faults: Annotated[
        tuple[FaultShown, ...],
        Meta(description="Why the files as they are now are not in use; empty where they are."),
    ]


class SessionShown(msgspec.Struct, frozen=True):
    """Where a conversation stands."""

    spots: Annotated[tuple[str, ...], Meta(description="The open flows as flow.screen, outermost first.")]
    screen: str
    page: int
    notice: Annotated[str, Meta(description="Name of the line above the screen, empty for none.")]
    trail: Annotated[int, Meta(description="How many screens one can go back.")]
    answers: dict[str, Value]
    language: str
    place: str
    until: str


class FactShown(msgspec.Struct, frozen=True):
    """One fact and how long it holds."""

    value: Value
    learnt: str
    fresh: Annotated[bool, Meta(description="Whether it is not asked again now.")]
    until: Annotated[str | None, Meta(description="When it lapses; null for never, or where no flow keeps it.")]


class GrowerShown(msgspec.Struct, frozen=True):
    """All that is known of a made-up grower."""

    now: Annotated[str, Meta(description="The moment by the clock of the demonstration.")]
    session: SessionShown | None
    facts: dict[str, FactShown]
    agreed: str | None
    stopped: str | None
    effects: Annotated[tuple[dict[str, Any], ...], Meta(description="What the last step decided.")]
    book: Annotated[str | None, Meta(description="Fingerprint of the book that the last step was taken with.")]


def book_shown(edition: Edition) -> BookShown:
    """The book in use."""
    book = edition.book
    return BookShown(
        fingerprint=book.fingerprint,
        loaded_at=rfc3339(edition.loaded_at),
        programme=book.programme.key,
        languages=book.programme.languages,
        flows=tuple(sorted(book.flows)),
        warnings=tuple(map(_fault, book.warnings)),
        faults=tuple(map(_fault, edition.faults)),
    )


def grower_shown(
    stored: Stored, book: Book, now: datetime, effects: tuple[Effect, ...], taken_with: str | None
) -> GrowerShown:
    """All that is known of a grower.

    Args:
        stored: what is kept.
        book: the book in use, which says how long facts hold.
        now: the moment to judge by.
        effects: what the last step decided.
        taken_with: fingerprint of the book of that step, None where there was none.
    """
    record, session = stored.record, stored.session
    fresh = Held(book, record, now, session).facts
    return GrowerShown(
        now=rfc3339(now),
        session=None if session is None else _session(session),
        facts={fact.name: _fact(fact, book, fact.name in fresh) for fact in record.facts},
        agreed=rfc3339(record.agreed) if record.agreed else None,
        stopped=rfc3339(record.stopped) if record.stopped else None,
        effects=tuple({"kind": type(effect).__name__} | asdict(effect) for effect in effects),
        book=taken_with,
    )


def _session(session: Talk) -> SessionShown:
    spots = tuple(map(_spot, session.spots))
    return SessionShown(
        spots=spots,
        screen=spots[-1] if spots else "",
        page=session.page,
        notice=session.notice,
        trail=len(session.trail),
        answers=dict(session.answers),
        language=session.language,
        place=session.place,
        until=rfc3339(session.until),
    )


def _fact(fact: Fact, book: Book, fresh: bool) -> FactShown:
    holds = book.fresh_for(fact.name)
    until = rfc3339(fact.learnt + holds) if holds else None
    return FactShown(value=fact.value, learnt=rfc3339(fact.learnt), fresh=fresh, until=until)


def _fault(fault: Fault) -> FaultShown:
    return FaultShown(fault.file, fault.line, fault.screen, fault.language, fault.what, fault.instead)


def _spot(spot: Spot) -> str:
    return f"{spot.flow}.{spot.screen}"

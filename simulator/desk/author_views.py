"""For authors: where the conversation stands, what is kept of it, and how the book is."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from simulator.desk.cells import Mark, Row, Span, row
from simulator.desk.phone_views import front
from simulator.desk.state import Desk, Pane
from simulator.screen import wrapped

_INDENT = "  "


def author(desk: Desk, wide: int, high: int) -> tuple[Row, ...]:
    """The pane for authors, so many columns wide and rows high."""
    rows = author_rows(desk, wide)
    top = max(0, min(desk.author_top, len(rows) - high + 1))
    shown = f", {top + 1}-{min(len(rows), top + high - 1)} of {len(rows)}; PgDn, PgUp"
    more = shown if len(rows) >= high else ""
    return (front(desk, Pane.AUTHOR, f"For the author{more}"), *rows[top : top + high - 1])


def scrolled(desk: Desk, steps: int) -> Desk:
    """With the pane for authors so many rows further down."""
    return replace(desk, author_top=max(0, desk.author_top + steps))


def author_rows(desk: Desk, wide: int) -> tuple[Row, ...]:
    """Everything that the pane has to say."""
    parts = [
        *_broken_book(desk.book),
        *_standing(desk.held.session),
        *_named("Answers", _mapping(_mapping(desk.held.session.get("session")).get("answers"))),
        *_named("Known", _facts(desk.held.session)),
        *_consent(desk.held.session),
        *_effects(desk.held.session),
        *_book(desk.book),
    ]
    return tuple(row(Span(text, mark)) for said, mark in parts for text in _wrapped(said, wide))


def _wrapped(said: str, wide: int) -> Iterator[str]:
    indent = _INDENT if said.startswith(_INDENT) else ""
    for place, text in enumerate(wrapped(said.removeprefix(indent), max(8, wide - 2 * len(indent)))):
        yield indent * (2 if place else 1) + text


_Part = tuple[str, Mark]


def _standing(found: Mapping[str, object]) -> Iterator[_Part]:
    yield "Where", Mark.STRONG
    session = _mapping(found.get("session"))
    spots = [str(spot) for spot in _sequence(session.get("spots"))]
    yield f"{_INDENT}{' > '.join(spots) or 'no conversation'}", Mark.PLAIN
    if session:
        page, trail = session.get("page"), session.get("trail")
        said = [
            f"page {page + 1}" if isinstance(page, int) and page else "",
            f"notice {session['notice']}" if session.get("notice") else "",
            f"{counted(trail, 'screen')} back" if isinstance(trail, int) and trail else "",
            f"kept until {_when(session['until'])}" if session.get("until") else "",
        ]
        yield f"{_INDENT}{', '.join(part for part in said if part)}", Mark.PLAIN


def _named(title: str, values: Mapping[str, object]) -> Iterator[_Part]:
    if values:
        yield title, Mark.STRONG
    for name, value in values.items():
        yield f"{_INDENT}{name} {_said(value)}", Mark.PLAIN


def _facts(found: Mapping[str, object]) -> Mapping[str, object]:
    return {name: _fact(fact) for name, fact in _mapping(found.get("facts")).items()}


def _fact(fact: object) -> object:
    found = _mapping(fact)
    if not found:
        return fact
    until = f", until {_when(found['until'])}" if found.get("until") else ""
    stale = "" if found.get("fresh", True) else ", lapsed"
    return f"{_said(found.get('value'))}{until}{stale}"


def _consent(found: Mapping[str, object]) -> Iterator[_Part]:
    said = [f"{name} {_when(found[name])}" for name in ("agreed", "stopped") if found.get(name)]
    yield "Consent", Mark.STRONG
    yield f"{_INDENT}{', '.join(said) or 'not given'}", Mark.PLAIN


def _effects(found: Mapping[str, object]) -> Iterator[_Part]:
    effects = _sequence(found.get("effects"))
    if effects:
        yield "Last effects", Mark.STRONG
    for effect in effects:
        parts = dict(_mapping(effect))
        kind = parts.pop("kind", "")
        said = ", ".join(f"{name} {_said(value)}" for name, value in parts.items())
        yield f"{_INDENT}{kind} {said}".rstrip(), Mark.PLAIN


def _book(book: Mapping[str, object]) -> Iterator[_Part]:
    yield "Book", Mark.STRONG
    if not book:
        yield f"{_INDENT}the service says nothing of it", Mark.PLAIN
    for name in ("fingerprint", "loaded_at", "programme", "languages", "flows"):
        if book.get(name):
            said = ", ".join(map(str, _sequence(book[name]))) or _when(book[name])
            yield f"{_INDENT}{name.replace('_', ' ')} {said}", Mark.PLAIN
    warnings = _sequence(book.get("warnings"))
    if warnings:
        yield "Warnings", Mark.WARN
    for warning in warnings:
        yield f"{_INDENT}{fault_said(warning)}", Mark.PLAIN


def _broken_book(book: Mapping[str, object]) -> Iterator[_Part]:
    faults = _sequence(book.get("faults"))
    if faults:
        count = counted(len(faults), "fault")
        yield f"The files have {count}; the book read before them is still in use", Mark.BAD
    for fault in faults:
        yield f"{_INDENT}{fault_said(fault)}", Mark.BAD
    warnings = _sequence(book.get("warnings"))
    if warnings:
        yield f"The book in use has {counted(len(warnings), 'warning')}, at the end below", Mark.WARN


def fault_said(fault: object) -> str:
    """A fault in one line: place, what is wrong, what to do.

    >>> fault_said({"file": "flows/buy.yaml", "line": 31, "screen": "buy.acres", "language": "hi",
    ...             "what": "75 units, a page holds 70", "instead": "shorten it"})
    'flows/buy.yaml:31 (buy.acres, hi): 75 units, a page holds 70: shorten it'
    """
    found = _mapping(fault)
    if not found:
        return str(fault)
    line = f":{found['line']}" if found.get("line") else ""
    about = ", ".join(str(found[name]) for name in ("screen", "language") if found.get(name))
    place = f"{found.get('file', '')}{line}" + (f" ({about})" if about else "")
    return ": ".join(part for part in (place, str(found.get("what", "")), str(found.get("instead", ""))) if part)


def counted(count: int, what: str) -> str:
    """A count of things in English.

    >>> counted(1, "fault"), counted(2, "fault")
    ('1 fault', '2 faults')
    """
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _when(value: object) -> str:
    try:
        return f"{datetime.fromisoformat(str(value)):%d %b %Y %H:%M}"
    except ValueError:
        return str(value)


def _said(value: object) -> str:
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _mapping(value: object) -> Mapping[str, object]:
    return value if isinstance(value, Mapping) else {}


def _sequence(value: object) -> Sequence[object]:
    return value if isinstance(value, list | tuple) else ()

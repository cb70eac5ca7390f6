"""What is worth a notice."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from simulator.desk.author_views import counted, fault_said
from simulator.desk.state import Held


def numbered(phones: Sequence[Held]) -> str:
    """A number for one more phone: the one after the highest.

    >>> from simulator.phone import Phone
    >>> numbered([Held(Phone("+99900500001"))])
    '+99900500002'
    """
    return f"+{max(int(held.phone.number.removeprefix('+')) for held in phones) + 1}"


def book_news(
    before: Mapping[str, object], now: Mapping[str, object], *, has_author: bool = False
) -> Iterator[str]:
    """What is to be said of a book that is not as it was at the last look.

    Args:
        before: what the service said of its book then.
        now: what it says now.
        has_author: whether the pane for authors is open, so that nobody is sent to open it.

    >>> list(book_news({"fingerprint": "a1"}, {"fingerprint": "b2"}))
    ['The book has changed: Esc, then d shows this screen again']
    """
    old, new = before.get("fingerprint"), now.get("fingerprint")
    warnings = now.get("warnings")
    if old and new and old != new:
        has = f" and has {counted(len(warnings), 'warning')}" if isinstance(warnings, list) and warnings else ""
        yield f"The book has changed{has}: Esc, then d shows this screen again"
    faults = now.get("faults")
    if isinstance(faults, list) and faults and faults != before.get("faults"):
        count = counted(len(faults), "fault")
        shows = "" if has_author else " (Esc, then a shows all)"
        yield f"The changed files have {count}{shows}: {fault_said(faults[0])}"
    elif before.get("faults") and faults == [] and old == new:
        yield "The files are without faults again"

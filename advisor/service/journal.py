"""Log lines: one an event, ``event=… key=value``, never a phone number, a name or a message text."""

from __future__ import annotations

import logging
from types import TracebackType

_LOGGER = logging.getLogger("advisor")


def log_event(event: str, *, level: int = logging.INFO, **fields: str | float) -> None:
    """Writes one line.

    Args:
        event: what happened, one word.
        level: of the standard library.
        fields: short values; the caller never gives a number, a name or a text that a person typed.
    """
    if _LOGGER.isEnabledFor(level):
        # made here, since the logger would look through the stack for a caller that no line names
        _LOGGER.handle(_LOGGER.makeRecord(_LOGGER.name, level, __file__, 0, line(event, **fields), (), None))


def line(event: str, **fields: str | float) -> str:
    """The text of one line.

    >>> line("message", channel="ussd", outcome="moved", ms=7)
    'event=message channel=ussd outcome=moved ms=7'
    >>> line("fault", what="two words")
    "event=fault what='two words'"
    """
    return " ".join([f"event={event}", *(f"{key}={_plain(value)}" for key, value in fields.items())])


def place_of(error: BaseException) -> str:
    """Where an exception was raised, as ``file.py:line``; its own text may hold what a person typed."""
    trace: TracebackType | None = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    if trace is None:
        return "?"
    return f"{trace.tb_frame.f_code.co_filename.replace(chr(92), '/').rsplit('/', 1)[-1]}:{trace.tb_lineno}"


def _plain(value: str | float) -> str:
    text = str(value)
    return text if text.split() == [text] else repr(text)

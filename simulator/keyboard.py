"""Lines from a keyboard, with a bell that rings while nobody types."""

from __future__ import annotations

import os
import select
from contextlib import suppress
from types import TracebackType
from typing import TextIO

_CHUNK = 4096


class Keyboard:
    """Reads lines; the bell may be rung from another thread while a line is awaited.

    Args:
        keys_in: a terminal, a pipe or a file, which wait beside the bell; or any text stream, which is read
            line by line and cannot hear the bell while it waits.
    """

    def __init__(self, keys_in: TextIO) -> None:
        self._stream = keys_in
        self._keys = _descriptor(keys_in)
        self._typed = b""
        self._heard, self._rung = os.pipe()
        os.set_blocking(self._heard, False)
        os.set_blocking(self._rung, False)

    def __enter__(self) -> Keyboard:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        os.close(self._heard)
        os.close(self._rung)

    @property
    def echoes(self) -> bool:
        """Whether what is typed shows by itself, as in a terminal."""
        return self._stream.isatty()

    def ring(self) -> None:
        """Ends the wait for a line; may be called from any thread, and after the keyboard is gone."""
        with suppress(OSError):
            os.write(self._rung, b"!")

    def line(self) -> str | None:
        """The next line, without its end; None once the bell rang.

        Raises:
            EOFError: when there are no more lines.
        """
        if self._keys is None:
            return _stripped(self._stream.readline())
        while b"\n" not in self._typed:
            ready, _, _ = select.select([self._keys, self._heard], [], [])
            if self._heard in ready:
                os.read(self._heard, _CHUNK)
                return None
            typed = os.read(self._keys, _CHUNK)
            if not typed:
                rest, self._typed = self._typed, b""
                return _stripped(rest.decode(errors="replace"))
            self._typed += typed
        line, _, self._typed = self._typed.partition(b"\n")
        return line.decode(errors="replace").removesuffix("\r")


def _stripped(line: str) -> str:
    if not line:
        raise EOFError
    return line.rstrip("\r\n")


def _descriptor(stream: TextIO) -> int | None:
    try:
        return stream.fileno()
    except (OSError, AttributeError):
        return None

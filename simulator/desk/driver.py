"""The terminal, asked for no more than the phone needs."""

from __future__ import annotations

from typing import Any, cast

from textual._ansi_sequences import ANSI_SEQUENCES_KEYS
from textual.drivers.linux_driver import LinuxDriver


class PlainDriver(LinuxDriver):
    """Reports clicks, and not every movement of the mouse: over a slow line those would queue before the keys."""

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        # Esc and a digit close together is a command here; the library takes it for a sign of some keyboards.
        known = cast(dict[str, object], ANSI_SEQUENCES_KEYS)
        for digit in "0123456789":
            known.pop(f"\x1b{digit}", None)

    def _enable_mouse_support(self) -> None:
        if self._mouse:
            # DEC modes 1000, press and release, and 1006, their coordinates in decimal digits
            self.write("\x1b[?1000h\x1b[?1006h")
            self.flush()

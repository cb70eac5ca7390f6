"""The terminal, asked for no more than the phone needs."""

from __future__ import annotations

from textual.drivers.linux_driver import LinuxDriver


class PlainDriver(LinuxDriver):
    """Reports clicks, and not every movement of the mouse: over a slow line those would queue before the keys."""

    def _enable_mouse_support(self) -> None:
        if self._mouse:
            # DEC modes 1000, press and release, and 1006, their coordinates in decimal digits
            self.write("\x1b[?1000h\x1b[?1006h")
            self.flush()

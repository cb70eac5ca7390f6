"""Where the desk lies: the one place that changes as the program goes on."""

from __future__ import annotations

from collections.abc import Callable

from simulator.desk.state import Desk


class Table:
    """Holds the desk, and shows each new one.

    Args:
        desk: how it is at the start.
        show: shows a desk.
    """

    def __init__(self, desk: Desk, show: Callable[[Desk], None]) -> None:
        self.desk = desk
        self._show = show

    def lay(self, desk: Desk) -> None:
        """Puts another desk in place of the one that was there."""
        if desk is not self.desk:
            self.desk = desk
            self._show(desk)

    def say(self, what: str) -> None:
        """Adds a notice."""
        self.lay(self.desk.saying(what))

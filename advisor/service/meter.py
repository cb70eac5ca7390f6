"""What the use cases count, without saying who counts; figures carry no personal data."""

from __future__ import annotations

from typing import Protocol


class Meter(Protocol):
    """Counts what happens."""

    def message(self, channel: str, event: str, outcome: str, seconds: float) -> None:
        """One inbound message was answered."""

    def conflict(self) -> None:
        """A commit met a newer version and the message is read again."""

    def handed_over(self, result: str) -> None:
        """One outgoing message was offered to the gateway, or given up."""

    def damaged(self) -> None:
        """A key of the store was met that holds what the store never wrote."""


class NoMeter:
    """Counts nothing."""

    def message(self, channel: str, event: str, outcome: str, seconds: float) -> None:
        """Nothing."""

    def conflict(self) -> None:
        """Nothing."""

    def handed_over(self, result: str) -> None:
        """Nothing."""

    def damaged(self) -> None:
        """Nothing."""

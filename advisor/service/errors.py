"""Why an inbound message gets no ordinary answer. The gateway side turns each into a problem document."""

from __future__ import annotations


class MessageRefused(Exception):  # noqa: N818 - named for what the caller sees
    """Base of the reasons why a message gets no ordinary answer; nothing has changed."""


class OtherBody(MessageRefused):
    """The id was used before with another body."""

    def __init__(self) -> None:
        super().__init__("this id was used before with another body: give each message an id of its own")


class Busy(MessageRefused):
    """The store did not take the message in time.

    Args:
        retry_after_s: after how many seconds to repeat it, with the same id.
    """

    def __init__(self, retry_after_s: int) -> None:
        super().__init__(f"not taken in time: repeat the message with the same id after {retry_after_s} s")
        self.retry_after_s = retry_after_s


class Stumbled(MessageRefused):
    """A fault of ours met while the message was worked on; the session stays as it was.

    Args:
        times: how often this id has met it, from 1.
    """

    def __init__(self, times: int) -> None:
        super().__init__("a fault of the service: repeat the message with the same id")
        self.times = times

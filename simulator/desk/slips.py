"""What a person at the desk can get wrong, and what to do instead."""

from __future__ import annotations

from simulator.errors import SimulatorError


class NothingOpenHere(SimulatorError):  # noqa: N818
    """Something was typed while no session is open."""

    def __init__(self) -> None:
        super().__init__("no session is open: erase it, then Enter dials; or Esc, then d dials it behind the code")


class NothingToEnd(SimulatorError):  # noqa: N818
    """There is no session to end."""

    def __init__(self) -> None:
        super().__init__("no session is open: Enter dials")


class NothingWritten(SimulatorError):  # noqa: N818
    """An empty text message."""

    def __init__(self) -> None:
        super().__init__("write the message first; Esc leaves it")


class NothingDone(SimulatorError):  # noqa: N818
    """There is nothing to record."""

    def __init__(self) -> None:
        super().__init__("nothing was done yet that could be recorded: dial first")


class StillWaiting(SimulatorError):  # noqa: N818
    """The phone waits for an answer."""

    def __init__(self) -> None:
        super().__init__("the phone waits for the service: what you typed stays, Enter sends it then")


class NotConnected(SimulatorError):  # noqa: N818
    """The service is not there yet."""

    def __init__(self) -> None:
        super().__init__("the service is still starting")

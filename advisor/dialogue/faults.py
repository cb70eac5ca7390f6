"""What an author got wrong in a flow, a catalog or a programme: all of it at once, each with its place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault and what to do about it.

    Args:
        file: name of the file.
        line: line in it, from 1; 0 when the file as a whole is meant.
        what: what is wrong, in one line.
        instead: what to do.
        screen: ``flow.screen``, empty when no screen is meant.
        language: language code, empty when every language is meant.

    >>> print(Fault("a.yaml", 3, "there is no screen 'sise'", "write one of: size, list", "a.size"))
    a.yaml:3 screen a.size: there is no screen 'sise': write one of: size, list
    """

    file: str
    line: int
    what: str
    instead: str
    screen: str = ""
    language: str = ""

    def __str__(self) -> str:
        screen = f" screen {self.screen}" if self.screen else ""
        language = f" language {self.language}" if self.language else ""
        return f"{self.file}:{self.line}{screen}{language}: {self.what}: {self.instead}"


class Faulty(Exception):  # noqa: N818 - it is raised for the author, as a list
    """Everything that is wrong with flows, catalogs or a programme.

    Args:
        faults: at least one fault.
    """

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))

"""What an author got wrong in a flow, a catalog or a programme: all of it at once, each with its place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Wide:
    """A text that does not fit.

    Args:
        text: the widest text itself, as it would be sent.
        cost: its septets or UTF-16 units.
        room: what it may cost.
        dearest: what in it costs most, in words.
    """

    text: str
    cost: int
    room: int
    dearest: str


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault and what to do about it.

    Args:
        file: name of the file in which it is mended.
        line: line in it, from 1; 0 when there is no line, since there is no such file.
        what: what is wrong, in one line.
        instead: what to do.
        screen: ``flow.screen``, empty when no screen is meant.
        language: language code, empty when every language is meant.
        wide: the text that does not fit, None where that is not what is wrong.
        untranslated: whether only a catalog is behind the English texts: by a translation that is not there yet,
            or by one of a text that is no more.

    >>> print(Fault("a.yaml", 3, "there is no screen 'sise'", "write one of: size, list", "a.size"))
    a.yaml:3 screen a.size: there is no screen 'sise': write one of: size, list
    """

    file: str
    line: int
    what: str
    instead: str
    screen: str = ""
    language: str = ""
    wide: Wide | None = None
    untranslated: bool = False

    def __str__(self) -> str:
        screen = f" screen {self.screen}" if self.screen else ""
        language = f" language {self.language}" if self.language else ""
        return f"{self.file}:{self.line}{screen}{language}: {self.what}: {self.instead}"


def in_order(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """The faults by file and line, none twice.

    >>> two = Fault("a.yaml", 2, "x", "y"), Fault("a.yaml", 1, "x", "y")
    >>> [fault.line for fault in in_order((*two, *two))]
    [1, 2]
    """

    def place(fault: Fault) -> tuple[str, int, str, str, str]:
        return fault.file, fault.line, fault.screen, fault.language, fault.what

    return tuple(sorted(set(faults), key=place))


class Faulty(Exception):  # noqa: N818 - it is raised for the author, as a list
    """Everything that is wrong with flows, catalogs or a programme.

    Args:
        faults: at least one fault.
        left: what could not be looked at yet because of them, one line each with the reason.
    """

    def __init__(self, faults: Iterable[Fault], left: Iterable[str] = ()) -> None:
        self.faults = in_order(faults)
        self.left = tuple(dict.fromkeys(left))
        super().__init__("\n".join(str(fault) for fault in self.faults))

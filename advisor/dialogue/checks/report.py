"""Faults as an author reads them in a terminal of 80 columns: by file and line, each in a few short lines."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from textwrap import wrap

from advisor.dialogue.faults import Fault, in_order

WIDTH = 80
_INDENT = 6
#: Stands for a line break inside a quoted text.
_BREAK = "\u21b5"


def report(faults: Iterable[Fault], left: Iterable[str] = ()) -> str:
    """All faults, how many they are, and what could not be looked at yet.

    Args:
        faults: at least one fault, in any order.
        left: what was not looked at, one line each with the reason.

    >>> print(report([Fault("tea.yaml", 3, "there is no screen 'mlik'", "write one of: milk", "tea.cup")]))
    tea.yaml
      3  tea.cup: there is no screen 'mlik'
          next: write one of: milk
    <BLANKLINE>
    1 fault in 1 file
    """
    found = in_order(faults)
    lines: list[str] = []
    for file, group in groupby(found, key=lambda fault: fault.file):
        lines.append(file)
        for fault in group:
            lines += _lines(fault)
        lines.append("")
    files = len({fault.file for fault in found})
    lines.append(f"{_count(len(found), 'fault')} in {_count(files, 'file')}")
    unseen = list(dict.fromkeys(left))
    if unseen:
        lines += ["", "Not looked at yet:"]
        lines += [line for one in unseen for line in _wrapped(one, "  ", "    ")]
    return "\n".join(lines)


def _lines(fault: Fault) -> list[str]:
    number = str(fault.line) if fault.line else "-"
    where = ", ".join(part for part in (fault.screen, fault.language) if part)
    first = f"{number}  {where}: {fault.what}" if where else f"{number}  {fault.what}"
    lines = _wrapped(first, "  ", " " * _INDENT)
    if fault.wide is not None:
        measured = f"{quoted(fault.wide.text)} costs {fault.wide.cost} of {fault.wide.room}"
        lines += _wrapped(measured, " " * _INDENT, " " * _INDENT)
        lines += _wrapped(fault.wide.dearest, " " * _INDENT, " " * _INDENT) if fault.wide.dearest else []
    return [*lines, *_wrapped(f"next: {fault.instead}", " " * _INDENT, " " * (_INDENT + 6))]


def quoted(text: str) -> str:
    """A text in quotes on one line, its line breaks visible.

    >>> quoted("1 Tea\\n0 Back")
    '"1 Tea↵0 Back"'
    """
    return '"' + text.replace("\n", _BREAK) + '"'


def _wrapped(text: str, first: str, further: str) -> list[str]:
    plain = text.replace("\n", _BREAK)
    return wrap(plain, WIDTH, initial_indent=first, subsequent_indent=further, break_on_hyphens=False)


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"

"""Faults as an author reads them in a terminal of 80 columns: by file and line, each in a few short lines."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import groupby
from textwrap import wrap

from advisor.dialogue.faults import Fault, in_order

WIDTH = 80
_INDENT = 6
#: Stands for a line break inside a quoted text.
_BREAK = "\u21b5"


def warned(warnings: Iterable[Fault]) -> str:
    """What is not translated yet, in the form of a report; one text lacking in several languages is told once.

    Args:
        warnings: at least one, in any order.

    >>> told = "'Tea' is not translated into {0}", "add it to locales/{0}.po"
    >>> print(warned(Fault("tea.yaml", 3, told[0].format(code), told[1].format(code), "tea.cup", code)
    ...              for code in ("fr", "sw")))
    tea.yaml
      3  tea.cup, fr, sw: 'Tea' is not translated into fr, sw
          next: add it to locales/fr.po
    <BLANKLINE>
    1 warning in 1 file: said in English until they are translated
    """
    found: dict[tuple[str, int, str, str], list[Fault]] = {}
    for one in in_order(warnings):
        text = one.what.removesuffix(f" into {one.language}")
        found.setdefault((one.file, one.line, one.screen, text), []).append(one)
    told = [_with_others(*ones) for ones in found.values()]
    files = len({one.file for one in told})
    said = f"{_count(len(told), 'warning')} in {_count(files, 'file')}: said in English until they are translated"
    return "\n".join([*_by_file(told), said])


def _with_others(first: Fault, *others: Fault) -> Fault:
    further = "".join(f", {other.language}" for other in others)
    return replace(first, what=f"{first.what}{further}", language=f"{first.language}{further}")


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
    lines = _by_file(found)
    files = len({fault.file for fault in found})
    lines.append(f"{_count(len(found), 'fault')} in {_count(files, 'file')}")
    unseen = list(dict.fromkeys(left))
    if unseen:
        lines += ["", "Not looked at yet:"]
        lines += [line for one in unseen for line in _wrapped(one, "  ", "    ")]
    return "\n".join(lines)


def _by_file(found: Iterable[Fault]) -> list[str]:
    lines: list[str] = []
    for file, group in groupby(found, key=lambda fault: fault.file):
        lines += [file, *(line for fault in group for line in _lines(fault)), ""]
    return lines


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

"""What to write instead of a name that stands for nothing: the nearest one there is, then some others."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

_MOST = 6


def nearest_of(word: str, known: Iterable[str]) -> str:
    """The name that an unknown one is probably meant for, empty where none is near.

    Args:
        word: the unknown name.
        known: the names there are.

    >>> nearest_of("mlik", ["sugar", "milk"]), nearest_of("x", ["sugar"])
    ('milk', '')
    """
    near = get_close_matches(word, sorted(set(known)), 1)
    return near[0] if near else ""


def instead_of(word: str, known: Iterable[str]) -> str:
    """What to do about an unknown name.

    Args:
        word: the unknown name.
        known: the names there are.

    >>> instead_of("mlik", ["sugar", "milk"])
    "did you mean 'milk'? Known: milk, sugar"
    >>> instead_of("x", [])
    'there is none to write yet'
    """
    names = sorted(set(known))
    near = nearest_of(word, names)
    shown = [*([near] if near else []), *(name for name in names if name != near)]
    if not shown:
        return "there is none to write yet"
    listed = ", ".join(shown[:_MOST]) + (f" and {len(shown) - _MOST} more" if len(shown) > _MOST else "")
    return f"did you mean '{near}'? Known: {listed}" if near else f"write one of: {listed}"

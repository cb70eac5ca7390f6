"""Messages with ``%(name)s`` placeholders, filled strictly: every name gets a text and nothing else comes."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import lru_cache

from advisor.wording.errors import BadPlaceholder, WrongValues

_SIGN = re.compile(r"%(?:\(([a-z][a-z0-9_]*)\)s|(%))?")


@lru_cache(maxsize=4096)
def placeholders(text: str) -> frozenset[str]:
    """The names in a message.

    Raises:
        BadPlaceholder: a percent sign that begins neither ``%(name)s`` nor ``%%``.

    >>> sorted(placeholders("Buy %(seed)s for %(area)s, 100%% sorted"))
    ['area', 'seed']
    """
    found = set()
    for sign in _SIGN.finditer(text):
        if sign[1]:
            found.add(sign[1])
        elif not sign[2]:
            raise BadPlaceholder(text, sign.start())
    return frozenset(found)


def fill(text: str, values: Mapping[str, str]) -> str:
    """A message with its values in place.

    Args:
        text: the message.
        values: one finished text for each name, no more and no fewer; numbers are made into texts beforehand.

    Raises:
        WrongValues: a name without a value, a value that is not named, or a value that is no text.
        BadPlaceholder: the message itself is faulty.

    >>> fill("Buy %(seed)s", {"seed": "50 kg"})
    'Buy 50 kg'
    """
    names = placeholders(text)
    if names != values.keys() or not all(isinstance(value, str) for value in values.values()):
        unfit = {name for name in names if not isinstance(values.get(name), str)}
        raise WrongValues(text, tuple(sorted(unfit)), tuple(sorted(values.keys() - names)))
    return text % values


def fill_with(text: str, words: Callable[[str], str]) -> str:
    """A message with each name's text asked for.

    Args:
        text: the message.
        words: from a name to its finished text.

    >>> fill_with("%(a)s and %(b)s", str.upper)
    'A and B'
    """
    return text % {name: words(name) for name in placeholders(text)}

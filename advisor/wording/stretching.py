"""A language that nobody speaks, longer than English, to see beforehand which screens a longer one would break.

That translations of short texts grow by 40 % and more is common practice among translators, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import ceil

from advisor.wording.catalogs import Catalog

#: How much longer a text gets.
LONGER = 0.4
#: Stand at both ends of a text, so that a cut is seen; one septet each, and no text of a flow has them.
FIRST, LAST = "<", ">"

_KEPT = re.compile(r"(%\([a-z][a-z0-9_]*\)s|%%)")


def stretched(text: str) -> str:
    """A text made longer by repeating its letters, evenly; what stands for a value is left as it is.

    Args:
        text: a message with its placeholders, lines and all.

    Returns:
        the same lines and placeholders between two marks; in all, marks included, longer by 40 % of what is no
        placeholder, and by two signs at least. Its letters are those of the text, so it stays in its alphabet.

    >>> stretched("How many %(unit)s is your field?")
    '<Howw maanyy %(unit)s iss youur ffieeldd?>'
    """
    parts = _KEPT.split(text)
    own = [sign for part in parts[::2] for sign in part]
    repeatable = [place for place, sign in enumerate(own) if sign.isalpha()] or [
        place for place, sign in enumerate(own) if not sign.isspace()
    ]
    more = max(0, ceil(LONGER * len(own)) - len(FIRST + LAST)) if repeatable else 0
    times = [1] * len(own)
    for number, place in enumerate(repeatable):
        times[place] += (number + 1) * more // len(repeatable) - number * more // len(repeatable)
    longer = iter(sign * count for sign, count in zip(own, times, strict=True))
    parts[::2] = ["".join(next(longer) for _ in part) for part in parts[::2]]
    return f"{FIRST}{''.join(parts)}{LAST}"


@dataclass(frozen=True, slots=True)
class StretchedCatalog(Catalog):
    """The source catalog, with every text stretched; make it with ``stretched_catalog``."""

    def message(self, context: str, msgid: str) -> str | None:
        """The text itself, stretched."""
        return stretched(msgid)

    def plural(self, context: str, msgid: str, plural: str, count: int) -> str | None:
        """The form of the source that a count takes, stretched."""
        form = Catalog.plural(self, context, msgid, plural, count)
        return None if form is None else stretched(form)


def stretched_catalog(language: str) -> StretchedCatalog:
    """The stretched texts of the language that flows are written in.

    >>> stretched_catalog("en").message("tea.cup", "A cup of tea")
    '<A cuup off teaa>'
    """
    return StretchedCatalog(language, f"stretched:{language}", "nobody", is_source=True)
